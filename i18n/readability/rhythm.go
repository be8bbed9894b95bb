//go:build !js

package readability

import "slices"

// ShortSentence is the most words that a short sentence has. A text of many is telegraphic:
// easy by every formula, and hard to follow, since nothing says how one goes with the next.
const ShortSentence = 6

// Rhythm is how long the sentences of a text are.
type Rhythm struct {
	Sentences int
	Median    float64 // words in a sentence
	Short     float64 // share of sentences of ShortSentence words or fewer, 0 to 1
}

// Beat counts the sentences of texts, each a paragraph or a cell. What is no sentence,
// such as a label, must not be among them. No sentence gives the zero Rhythm.
func Beat(tag string, texts []string) Rhythm {
	var lengths []int
	short := 0
	for _, t := range texts {
		for _, s := range Sentences(tag, t) {
			n := len(Words(s))
			if n == 0 {
				continue
			}
			lengths = append(lengths, n)
			if n <= ShortSentence {
				short++
			}
		}
	}
	n := len(lengths)
	if n == 0 {
		return Rhythm{}
	}
	slices.Sort(lengths)
	return Rhythm{n, float64(lengths[(n-1)/2]+lengths[n/2]) / 2, float64(short) / float64(n)}
}
