//go:build !js

// Command exceptions writes i18n/readability/english.txt.gz: the words of the
// dictionary (see build/checks/generate/syllables.mjs) whose syllables the spelling
// rule gets wrong.
package main

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"log"
	"os"
	"slices"
	"strconv"
	"strings"

	"plainleaf/i18n/readability"
)

func main() {
	if len(os.Args) != 2 {
		log.Fatal("usage: exceptions SYLLABLES.tsv, at the root of the repository")
	}
	data, err := os.ReadFile(os.Args[1])
	if err != nil {
		log.Fatal(err)
	}
	words := map[int][]string{}
	total, wrong := 0, 0
	for line := range strings.Lines(string(data)) {
		word, count, _ := strings.Cut(strings.TrimSpace(line), "\t")
		n, err := strconv.Atoi(count)
		if err != nil || n < 1 || n > 9 {
			continue
		}
		total++
		if readability.EnglishRule(word) == n || strings.HasSuffix(word, "'s") {
			continue
		}
		wrong++
		words[n] = append(words[n], word)
	}
	var text bytes.Buffer
	for n := 1; n <= 9; n++ {
		slices.Sort(words[n])
		fmt.Fprintf(&text, "%d %s\n", n, strings.Join(words[n], " "))
	}
	var out bytes.Buffer
	z, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		log.Fatal(err)
	}
	if _, err := z.Write(text.Bytes()); err != nil {
		log.Fatal(err)
	}
	if err := z.Close(); err != nil {
		log.Fatal(err)
	}
	if err := os.WriteFile("i18n/readability/english.txt.gz", out.Bytes(), 0o644); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%d of %d words are exceptions, %d bytes\n", wrong, total, out.Len())
}
