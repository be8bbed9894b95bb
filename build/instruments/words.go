package instruments

import (
	"regexp"
	"strings"

	"plainleaf/app/sheet"
)

// purpose is what the first lines of a sheet have to speak of, so that its purpose is
// plain at once.
var purpose = map[sheet.Kind]*regexp.Regexp{
	sheet.Options:   regexp.MustCompile(`(?i)\b(decide|decision|choose|choices?|options?)\b`),
	sheet.Wait:      regexp.MustCompile(`(?i)\b(wait|first|before)\b`),
	sheet.Consent:   regexp.MustCompile(`(?i)\b(agree|agreement|consent|sign|yes or no)\b`),
	sheet.TryIn:     regexp.MustCompile(`(?i)\b(try|tried|approve|glued|look at)\b`),
	sheet.Change:    regexp.MustCompile(`(?i)\b(change|agreed)\b`),
	sheet.Aftercare: regexp.MustCompile(`(?i)\b(look(ing)? after|care|feels? wrong|call)\b`),
}

// foremost is what has to be among the first words of a sheet: what matters most to
// its reader, with how many words may come before its end.
var foremost = map[sheet.Kind]struct {
	said   *regexp.Regexp
	within int
}{
	sheet.Options:   {regexp.MustCompile(`(?i)no treatment|leav(e|ing) (your teeth|them)|do nothing`), 120},
	sheet.Wait:      {regexp.MustCompile(`(?i)\b(test|treat|heal|settle|see|check|talk)`), 120},
	sheet.Consent:   {regexp.MustCompile(`(?i)(not|never|cannot be) (fully )?(reversible|undone|taken back)|for good|cannot be (fully )?undone`), 300},
	sheet.TryIn:     {regexp.MustCompile(`(?i)(nothing|not) (is|yet) (yet )?glued|before (anything|they|it) (is|are) glued`), 80},
	sheet.Change:    {regexp.MustCompile(`(?i)\b(nothing happens|until you say|before|agreed)\b`), 120},
	sheet.Aftercare: {regexp.MustCompile(`(?i)call\s+\S+\s+now|emergency`), 120},
}

// terms are words of the trade, each with what explains it. The explanation is in
// the sentence of the term's first use, or in one of the two beside it.
var terms = []struct{ term, explained *regexp.Regexp }{
	term(`veneers?`, `thin|cover|shell|porcelain`),
	term(`composite`, `tooth-colored|filling`),
	term(`enamel`, `hard outer|outer layer`),
	term(`trial smile`, `laid over|over your (own )?teeth|try|shows`),
	term(`crowns?`, `all sides|cap|cover|around`),
	term(`root canal|root treatment`, `nerve|inside`),
	term(`lithium disilicate|feldspathic|zirconia`, `porcelain|ceramic|glass`),
	term(`dentin`, `yellow`),
	term(`bruxism`, `clench|grind`),
	term(`chlorhexidine`, `rinse`),
	term(`fluoride`, `paste|strength|gel|protect`),
	term(`occlusal|occlusion`, `bite`),
	term(`anesthe\w+`, `numb`),
	term(`gingiv\w+`, `gum`),
}

func term(word, explained string) struct{ term, explained *regexp.Regexp } {
	return struct{ term, explained *regexp.Regexp }{regexp.MustCompile(`(?i)\b(` + word + `)\b`), regexp.MustCompile(`(?i)\b(` + explained + `)`)}
}

// An action begins with what to do. The list is of verbs that sheets use so.
var action = regexp.MustCompile(`(?i)^(please|then|if [^,]+,|do not|don’t|never|always|first|for [^,]+,)?\s*(please )?(do not |never |always )?(ask|avoid|be|bring|brush|call|check|choose|chew|clean|come|cover|cross|cut|decide|do|eat|find|floss|get|give|go|have|hold|keep|leave|let|look|make|mark|move|note|press|put|raise|read|rinse|say|see|sign|sit|skip|sleep|smile|speak|start|stay|step|stop|take|talk|tell|think|tick|touch|try|use|wait|wear|write)\b`)

var (
	you = regexp.MustCompile(`(?i)\b(you|your|yours|yourself|my|I|me)\b`)
	// An auxiliary and a past participle: a sentence in the passive voice.
	passive     = regexp.MustCompile(`(?i)\b(is|are|was|were|be|been|being|gets?|got)\s+(not |never |also |always |often |then |first |only |fully |usually |later |already |mostly )?(\w+ed|done|made|taken|given|told|shown|seen|glued|put|cut|kept|held|known|found|left|lost|worn|broken|chosen|said|sent|set|drawn|written|built|brought|bought|paid|read|thought|meant|felt)\b`)
	notPassive  = regexp.MustCompile(`(?i)\b(is|are|was|were|be|been|get|gets)\s+(not )?(tired|needed|interested|worried|scared|allowed|pleased|satisfied|left|closed|supposed|used to|known)\b`)
	decimal     = regexp.MustCompile(`\d[\d,]*[.]\d+\b`)
	unit        = regexp.MustCompile(`^\s*(mm|millimeters?|ml)\b`)
	percent     = regexp.MustCompile(`%|\bpercent\b`)
	oneIn       = regexp.MustCompile(`(?i)\b(1|one) (in|out of) (\d|ten|twenty|hundred)`)
	ofMany      = regexp.MustCompile(`\b(?:of|per|out of) (?:every )?(\d[\d,]*)\b`)
	sums        = regexp.MustCompile(`(?i)\b(twice as|double the|times (as|more|less|higher|lower)|half as|percent of|add up|subtract|divide|multipl)`)
	unknown     = regexp.MustCompile(`(?i)not known|nobody knows|no one knows|too uncertain|not sure|cannot (tell|know|measure|say)|do not (yet )?know|nobody can`)
	known       = regexp.MustCompile(`(?i)\b(study|studies|of (every )?100|usually|mostly|as a rule|about \d+|seems? to|our estimate)\b`)
	danger      = regexp.MustCompile(`(?i)go wrong|risks?\b|downsides?|hard sides|chips?\b|comes? off|cannot be (fully )?undone|not (fully )?reversible`)
	benefit     = regexp.MustCompile(`(?i)good (sides|points)|lighter|still in place|lasts?\b|hope for|helps?\b|protect|keeps? `)
	chance      = regexp.MustCompile(`(?i)\bof (every )?100\b`)
	chanceWords = regexp.MustCompile(`(?i)\b(most|nearly all|a few|few|many|some|about|likely|unlikely|rare\w*|none|almost)\b`)
	howOften    = regexp.MustCompile(`(?i)\b(days?|weeks?|hours?|minutes?|months?|times?|tonight|tomorrow|now|until|before|after|once|twice|every)\b`)
	abbreviated = regexp.MustCompile(`\b[A-Z]{2,}\b`)
	alone       = regexp.MustCompile(`(?i)\b(the patient|patients? (should|must|has to|have to|needs? to)|one (should|must|has to|needs to))\b`)
	impersonal  = regexp.MustCompile(`(?i)\b(should|must) (not |never |always )?be (\w+ed|done|made|taken|given|kept|worn|eaten|put|cut|held|brought)\b`)
	numbers     = regexp.MustCompile(`\d+`)
)

// spelled are short forms that readers know, or that are names.
var spelled = map[string]bool{"OK": true, "DNA": true, "US": true, "CODE": true, "PDF": true, "QR": true, "SMS": true, "WC": true}

// inPassive reports whether a sentence is in the passive voice, as far as a pattern sees it.
func inPassive(sentence string) bool {
	return passive.MatchString(notPassive.ReplaceAllString(sentence, ""))
}

// unexplained lists the terms of a sheet that its first use leaves unexplained.
func (s *Sheet) unexplained() (out []string) {
	for _, t := range terms {
		for i, x := range s.Sentences {
			if !t.term.MatchString(x) {
				continue
			}
			near := strings.Join(s.Sentences[max(0, i-1):min(len(s.Sentences), i+3)], " ")
			if !t.explained.MatchString(t.term.ReplaceAllString(near, "")) {
				out = append(out, t.term.FindString(x))
			}
			break
		}
	}
	return out
}
