package talk

import (
	"slices"

	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// roomForFound is how much a page has room for: a finding that comes first takes two, since
// it says why, another one. The sheet has all of them.
const roomForFound = 5

// found shows what was found, what comes first before the rest. Nothing is called healthy:
// only what was entered is shown.
func (x composer) found() Page {
	p := Page{Key: Found, Title: sheet.M("talk.found.title")}
	for _, c := range x.pl.Colour {
		if c.ShowThrough == "likely" {
			p.Dark = append(p.Dark, c.Tooth)
		}
	}
	var first, rest []Point
	for _, f := range x.pl.Findings {
		if f.Private {
			continue
		}
		pt := Point{Name: sheet.M("finding." + f.Key + ".name"), Text: sheet.M("finding." + f.Key + ".say"), Teeth: f.Teeth}
		if slices.ContainsFunc(x.pl.WaitFor, func(w plan.WaitFor) bool { return !w.Private && w.Key == f.Key }) {
			pt.Text = sheet.M("waitfor." + f.Key)
			first = append(first, pt)
			continue
		}
		rest = append(rest, pt)
	}
	p.Points = append(first, rest...)
	room, n := roomForFound, 0
	for n < len(p.Points) && room > 0 {
		if room--; n < len(first) {
			room--
		}
		n++
	}
	if more := len(p.Points) - n; more > 0 {
		p.Points = p.Points[:n]
		p.Lead = append(p.Lead, sheet.N("talk.found.more", more))
	}
	return p
}
