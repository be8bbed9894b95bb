package instruments

import (
	"slices"
	"strings"

	"plainleaf/app/render"
	"plainleaf/app/sheet"
	"plainleaf/i18n/readability"
)

// Limits of our own, where the instruments leave it to the rater.
const (
	chunkWords   = 60  // in one paragraph or item
	sectionWords = 150 // under one heading, rows of tables apart
	listItems    = 7   // the CDC index says so
	shortWords   = 500 // so short that it needs no summary
	headingWords = 10
	columnWords  = 6 // in the name of a column
	passiveShare = 0.15
)

// Items lists both instruments, those a person judges too.
func Items() []Item {
	return []Item{
		{"PM-1", "the purpose is plain at once", aim},
		{"PM-2", "nothing leads away from the purpose", nil},
		{"PM-3", "everyday words", everyday},
		{"PM-4", "words of the trade only where they are explained", explained},
		{"PM-5", "active voice", active},
		{"PM-6", "numbers are clear", clearNumbers},
		{"PM-7", "the reader calculates nothing", noSums},
		{"PM-8", "short pieces", pieces},
		{"PM-9", "headings that inform", headings},
		{"PM-10", "a logical order", nil},
		{"PM-11", "a summary", summary},
		{"PM-12", "bold, boxes or bullets lead to the key points", cues},
		{"PM-15", "pictures wherever they help", nil},
		{"PM-16", "pictures support and do not distract", nil},
		{"PM-17", "pictures have titles or captions", captions},
		{"PM-18", "pictures are clear", nil},
		{"PM-19", "tables are simple, with short names of rows and columns", tables},
		{"PM-20", "at least one action", acts},
		{"PM-21", "speaks to the reader", addressed},
		{"PM-22", "actions in explicit steps", steps},
		{"PM-23", "a tool to act with", tool},
		{"PM-24", "shows how to calculate what has to be calculated", noneToCalculate},
		{"PM-25", "says how to use tables and pictures to act", howToUse},
		{"PM-26", "pictures wherever they make acting easier", nil},
		{"CC-1", "one main message", oneTitle},
		{"CC-2", "the main message at the top", atTop},
		{"CC-3", "the main message stands out", standsOut},
		{"CC-4", "a picture carries the main message", nil},
		{"CC-5", "a call to action for the reader", acts},
		{"CC-6", "message and call in the active voice", activeTop},
		{"CC-7", "only words that the reader uses", readersWords},
		{"CC-8", "lists with bullets or numbers", lists},
		{"CC-9", "pieces with headings", piecesWithHeadings},
		{"CC-10", "the most important first", mostImportant},
		{"CC-11", "what is known and what is not", knownOrNot},
		{"CC-12", "at least one recommendation to act", acts},
		{"CC-13", "why it matters to the reader", nil},
		{"CC-14", "how to act", how},
		{"CC-15", "numbers that the reader uses", wholeNumbers},
		{"CC-16", "what the numbers mean", nil},
		{"CC-17", "the reader calculates nothing", oneBase},
		{"CC-18", "what the risk is, how and why", nil},
		{"CC-19", "risks and benefits of what is advised", both},
		{"CC-20", "a chance in numbers also in words or a picture", inWords},
	}
}

// aim: the first 60 words speak of what the sheet is for, and to its reader.
func aim(s *Sheet) Verdict {
	start := s.start(60)
	return met(unless(purpose[s.Doc.Kind].MatchString(start), "the first 60 words do not say what it is for"),
		unless(you.MatchString(start), "the first 60 words do not speak to the reader"))
}

func everyday(s *Sheet) Verdict {
	most := 6.0
	if s.Doc.Kind == sheet.Aftercare {
		most = 5 // read when worried
	}
	score, err := readability.Read("en", strings.Join(s.Lines, "\n"))
	if err != nil {
		return met(err.Error())
	}
	return met(unless(score.Value <= most, "reading grade %.1f, at most %.0f", score.Value, most))
}

func explained(s *Sheet) Verdict {
	lost := s.unexplained()
	return met(unless(len(lost) == 0, "not explained at first use: %s", strings.Join(lost, ", ")))
}

func active(s *Sheet) Verdict {
	n, one := 0, ""
	for _, x := range s.Sentences {
		if inPassive(x) {
			if n++; one == "" {
				one = x
			}
		}
	}
	share := float64(n) / float64(max(1, len(s.Sentences)))
	return met(unless(share <= passiveShare, "%.0f %% of the sentences are passive, such as %q", 100*share, one))
}

// badDecimal is a number with decimals that is neither a length nor money.
func badDecimal(x string) string {
	for _, at := range decimal.FindAllStringIndex(x, -1) {
		if !unit.MatchString(x[at[1]:]) && !strings.HasSuffix(x[:at[0]], "$") && !strings.Contains(x[at[1]:min(len(x), at[1]+12)], "mm") {
			return x[at[0]:at[1]]
		}
	}
	return ""
}

func clearNumbers(s *Sheet) Verdict {
	if !strings.ContainsAny(strings.Join(s.Sentences, ""), "0123456789") {
		return none
	}
	bad := ""
	for _, x := range s.Sentences {
		if d := badDecimal(x); d != "" {
			bad = x
		}
	}
	return met(unless(s.count(percent) == 0, "a percentage: %q", s.first(percent)),
		unless(s.count(oneIn) == 0, "one in so many: %q", s.first(oneIn)),
		unless(bad == "", "a decimal: %q", bad))
}

func noSums(s *Sheet) Verdict { return met(unless(s.count(sums) == 0, "%q", s.first(sums))) }

func pieces(s *Sheet) Verdict {
	var long, much []string
	items := 0
	for _, x := range s.Sections {
		for _, c := range x.chunks {
			if n := len(readability.Words(c)); n > chunkWords {
				long = append(long, c)
			}
		}
		if x.words > sectionWords {
			much = append(much, x.heading)
		}
		for _, n := range x.lists {
			items = max(items, n)
		}
	}
	return met(unless(len(long) == 0, "%d pieces of more than %d words, such as %.60q", len(long), chunkWords, strings.Join(long[:min(1, len(long))], "")),
		unless(len(much) == 0, "more than %d words under %q", sectionWords, much),
		unless(items <= listItems, "a list of %d items", items))
}

func headings(s *Sheet) Verdict {
	var names, bad []string
	for _, x := range s.Sections[1:] {
		if n := len(readability.Words(numbers.ReplaceAllString(x.heading, ""))); n > headingWords || n < 1 {
			bad = append(bad, x.heading)
		}
		if slices.Contains(names, x.heading) {
			bad = append(bad, "twice: "+x.heading)
		}
		names = append(names, x.heading)
	}
	few := s.Words > shortWords && len(names) < s.Words/(2*sectionWords)
	return met(unless(len(names) > 0 || s.Words < shortWords, "no heading"), unless(!few, "%d headings in %d words", len(names), s.Words), unless(len(bad) == 0, "%q", bad))
}

// summary: what matters most is in a table, a list of facts or a notice before or
// under the first heading.
func summary(s *Sheet) Verdict {
	if s.Words < shortWords {
		return none
	}
	n := 0
	for _, b := range s.Doc.Blocks {
		switch b.Kind {
		case sheet.Heading:
			n++
		case sheet.Facts, sheet.Table, sheet.Choices, sheet.Notice, sheet.Urgent:
			if n <= 1 && (b.Kind != sheet.Notice || len(b.Items) > 0) {
				return met()
			}
		}
		if n > 1 {
			break
		}
	}
	return met("no table, facts or notice with the key points before the second heading")
}

func cues(s *Sheet) Verdict {
	boxed := false
	for n := range s.Page.Descendants() {
		for _, c := range strings.Fields(attr(n, "class")) {
			boxed = boxed || slices.Contains([]string{"notice", "urg", "phones", "strong", "decide", "answerbox"}, c)
		}
	}
	return met(unless(boxed, "no box"), unless(len(s.elements("li")) > 0, "no bullets"),
		unless(len(s.elements("strong"))+len(s.elements("b"))+len(s.elements("dt"))+len(s.elements("th")) > 0, "no bold words"))
}

func captions(s *Sheet) Verdict {
	n := 0
	for _, e := range s.elements("svg") {
		if attr(e, "aria-hidden") == "true" {
			continue
		}
		if n++; !below(e, "title") && attr(e, "aria-label") == "" {
			return met("a picture has no title")
		}
	}
	if n == 0 {
		return none
	}
	return met()
}

func tables(s *Sheet) Verdict {
	all := s.elements("table")
	if len(all) == 0 {
		return none
	}
	var bad []string
	for _, t := range all {
		named := false
		for d := range t.Descendants() {
			if d.Data != "th" {
				continue
			}
			named = named || attr(d, "scope") != ""
			if text := strings.Join(strings.Fields(textOf(d)), " "); attr(d, "scope") == "col" && len(readability.Words(text)) > columnWords {
				bad = append(bad, text)
			}
		}
		if !named {
			bad = append(bad, "no names of rows or columns")
		}
	}
	return met(unless(len(bad) == 0, "%q", bad))
}

func acts(s *Sheet) Verdict {
	return met(unless(s.count(action) > 0, "nothing says what to do"))
}

// addressed: where the sheet describes what the reader does, it speaks to the reader. The
// instrument asks that of actions only, not of what the dentist does or of what a study
// found, so a share of all sentences would measure something else.
func addressed(s *Sheet) Verdict {
	told := s.count(action) > 0 || s.count(you) > 0
	return met(unless(told, "nothing speaks to the reader"),
		unless(s.count(alone) == 0, "%q", s.first(alone)),
		unless(s.count(impersonal) == 0, "an action of nobody: %q", s.first(impersonal)))
}

// steps: two actions or more are listed one under the other.
func steps(s *Sheet) Verdict {
	for _, b := range s.Doc.Blocks {
		n := 0
		for _, it := range b.Items {
			if b.Kind == sheet.Tick || len(it.Choices) > 0 {
				n++
				continue
			}
			for _, l := range append([]string{it.Label.String(), it.Text.String()}, texts(it.More)...) {
				if action.MatchString(l) {
					n++
					break
				}
			}
		}
		if n >= 2 {
			return met()
		}
	}
	return met("no list of actions")
}

func texts[T interface{ String() string }](lines []T) (out []string) {
	for _, l := range lines {
		out = append(out, l.String())
	}
	return out
}

func tool(s *Sheet) Verdict {
	rows := slices.ContainsFunc(s.Doc.Blocks, func(b render.Block) bool { // a table to tick or to write in
		return slices.ContainsFunc(b.Items, func(it render.Item) bool {
			return slices.ContainsFunc(it.Cells, func(c render.Cell) bool { return c.Write || len(c.Boxes) > 0 })
		})
	})
	return met(unless(rows || s.has(sheet.Tick, sheet.Choices, sheet.Lines, sheet.Sign, sheet.Schedule), "no boxes, lines or dates"))
}

// noneToCalculate: where nothing has to be calculated, nothing needs to be shown.
func noneToCalculate(s *Sheet) Verdict {
	if v := noSums(s); !v.Met {
		return v
	}
	return none
}

// howToUse: a table has words before it, in its section, or a caption.
func howToUse(s *Sheet) Verdict {
	all, bad := s.elements("table"), 0
	for _, t := range all {
		before := t.PrevSibling
		if below(t, "caption") || before != nil && slices.Contains([]string{"p", "ul", "div"}, before.Data) {
			continue
		}
		bad++
	}
	if len(all) == 0 {
		return none
	}
	return met(unless(bad == 0, "%d of %d tables have no words that say how to use them", bad, len(all)))
}

func oneTitle(s *Sheet) Verdict {
	n := len(s.elements("h1"))
	return met(unless(n == 1, "%d titles", n), unless(len(s.Doc.Blocks) > 0 && s.Doc.Blocks[0].Kind != sheet.Heading, "no message between the title and the first heading"))
}

func atTop(s *Sheet) Verdict {
	if v := oneTitle(s); !v.Met {
		return v
	}
	return aim(s)
}

// standsOut: the title is a heading, and the first thing under it is short or boxed.
func standsOut(s *Sheet) Verdict {
	if v := oneTitle(s); !v.Met {
		return v
	}
	b := s.Doc.Blocks[0]
	return met(unless(b.Kind == sheet.Notice || b.Kind == sheet.Facts || b.Kind == sheet.Table || b.Kind == sheet.Urgent || len(readability.Words(b.Text.String())) <= 45, "what comes first has %d words", len(readability.Words(b.Text.String()))))
}

func activeTop(s *Sheet) Verdict {
	if v := acts(s); !v.Met {
		return v
	}
	for _, x := range readability.Sentences("en", s.start(40)) {
		if inPassive(x) && !strings.Contains(x, "glued") { // nothing is glued yet: a state
			return met("passive: " + x)
		}
	}
	return met()
}

func readersWords(s *Sheet) Verdict {
	v := explained(s)
	for _, x := range s.Sentences {
		for _, a := range abbreviated.FindAllString(x, -1) {
			if !spelled[a] {
				return met(v.Why, "short form: "+a)
			}
		}
	}
	return met(v.Why)
}

func lists(s *Sheet) Verdict {
	n := 0
	for _, x := range s.Sections {
		for _, items := range x.lists {
			n = max(n, items)
		}
	}
	return met(unless(len(s.elements("ul"))+len(s.elements("ol")) > 0, "no list"), unless(n <= listItems, "a list of %d items", n))
}

func piecesWithHeadings(s *Sheet) Verdict { return met(pieces(s).Why, headings(s).Why) }

func mostImportant(s *Sheet) Verdict {
	f := foremost[s.Doc.Kind]
	return met(unless(f.said.MatchString(s.start(f.within)), "not among the first %d words", f.within))
}

func knownOrNot(s *Sheet) Verdict {
	return met(unless(s.count(known) > 0, "nothing says what is known"), unless(s.count(unknown) > 0, "nothing says what is not known"))
}

func how(s *Sheet) Verdict {
	n := 0
	for _, x := range s.Sentences {
		if action.MatchString(x) && howOften.MatchString(x) {
			n++
		}
	}
	return met(unless(n > 0, "no action says when or how often"))
}

func wholeNumbers(s *Sheet) Verdict {
	if v := clearNumbers(s); !v.Applies {
		return none
	}
	for _, x := range s.Sentences {
		if badDecimal(x) != "" || percent.MatchString(x) {
			return met(x)
		}
	}
	return met()
}

// oneBase: chances are out of 100; another number is one that a study printed.
func oneBase(s *Sheet) Verdict {
	for _, x := range s.Sentences {
		for _, m := range ofMany.FindAllStringSubmatch(x, -1) {
			if !slices.Contains([]string{"100", "10", "2"}, m[1]) && len(m[1]) > 1 && !strings.Contains(x, "study") && !strings.Contains(x, "studies") && len(m[1]) < 4 {
				return met(noSums(s).Why, "another base: "+x)
			}
		}
	}
	return met(noSums(s).Why)
}

// both: where something is proposed, its risks and its benefits. The other sheets ask for
// no treatment that has to be weighed.
func both(s *Sheet) Verdict {
	switch s.Doc.Kind {
	case sheet.Options, sheet.Consent, sheet.Change:
	case sheet.Wait:
		if !s.has(sheet.Sign) { // nothing comes first
			return none
		}
	default:
		return none
	}
	return met(unless(s.count(danger) > 0, "no risk"), unless(s.count(benefit) > 0, "no benefit"))
}

func inWords(s *Sheet) Verdict {
	if s.count(chance) == 0 {
		return none
	}
	return met(unless(s.count(chanceWords) > 0, "a chance in numbers only"))
}
