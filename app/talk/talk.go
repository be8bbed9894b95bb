// Package talk composes the pages a patient looks at while the dentist talks: one idea a
// page, in message ids and typed values. It knows no language and no screen. A page holds
// nothing private, and nothing that is not in the plan.
package talk

import (
	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// Keys of the pages, in the order in which they are shown.
const (
	Found   = "found"   // what was found in this mouth
	First   = "first"   // care that comes before the options, one page each
	Options = "options" // the options beside each other
	Advice  = "advice"  // the dentist's own, after the options
	Lasts   = "lasts"   // how long it lasts
	Visits  = "visits"  // the visits on a line
)

// Page is one page. Of Points, Facts, Table, Picture and Line it has at most one.
type Page struct {
	Key   string
	Title sheet.Text
	Lead  []sheet.Text
	// Points are short facts, numbered on the page and on their teeth.
	Points  []Point
	Dark    []casefile.Tooth // that are darker than what is wanted
	Facts   []Fact
	Care    string // key of the care that Facts are about, to which the patient may answer
	Said    casefile.Answer
	Teeth   []casefile.Tooth // that the page is about
	Table   *Table
	Picture *Picture
	Line    []Stop
	// Figures are the ids behind the numbers of the page.
	Figures []string
}

// Point is a short fact. Teeth is empty where it is about the whole mouth.
type Point struct {
	Name, Text sheet.Text
	Teeth      []casefile.Tooth
}

// Fact is something about one care, under a label.
type Fact struct {
	Label sheet.Text
	Texts []sheet.Text
}

// Table has a column for each option and a row for each fact.
type Table struct {
	Heads []Head
	Rows  []Row
	// Part of Parts: more options than fit beside each other are on several pages.
	Part, Parts int
}

// Head names an option.
type Head struct {
	Route casefile.Route
	Name  sheet.Text
}

// Row is a fact about each option. Priority is the wish that it answers, which the patient
// may put first; empty for none.
type Row struct {
	Key      string
	Priority string
	Label    sheet.Text
	Cells    [][]sheet.Text
}

// Picture is a number of teeth of which some may need work: Likely of Of are as likely as
// not to, up to High may.
type Picture struct {
	Of, Likely, High int
	Caption          sheet.Text
}

// Stop is one visit, or several of one kind in a row, on the line of visits.
type Stop struct {
	Name        sheet.Text
	First, Last int // numbers of its visits, from 1
	Month       casefile.Date
	// After is what is waited for in front of it; zero for nothing.
	After sheet.Text
}

// composer holds what the pages are made from.
type composer struct {
	c  casefile.Case
	p  casefile.Practice
	pl plan.Plan
	b  *evidence.Base
}

// Decide lists the pages of the first stage: those that have something to show.
func Decide(c casefile.Case, p casefile.Practice, pl plan.Plan, b *evidence.Base) []Page {
	x := composer{c, p, pl, b}
	var out []Page
	if f := x.found(); len(f.Points) > 0 {
		out = append(out, f)
	}
	out = append(append(out, x.first()...), x.options()...)
	if c.Advice != nil && c.Advice.Route != "" {
		out = append(out, x.advice())
	}
	out = append(out, x.lasts())
	if len(pl.Visits) > 0 {
		out = append(out, x.visits())
	}
	return out
}
