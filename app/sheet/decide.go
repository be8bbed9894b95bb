package sheet

import "plainleaf/app/casefile"

// whoDecides asks who decides and who interprets, with a box for each answer. What the
// case knows is said instead, in words: nothing is crossed that nobody was asked about.
func (x *composer) whoDecides() {
	p := casefile.People{}
	if x.c.People != nil {
		p = *x.c.People
	}
	known := Block{Kind: Facts, Style: Who, Items: knownPeople(p), Keep: true}
	if len(known.Items) > 0 {
		x.add(known)
	}
	asked := func(label string, items ...Item) {
		x.add(Block{Kind: Tick, Style: Who, Text: M("sheet.people." + label), Aside: M("sheet.people.not-asked"), Items: items, Keep: true})
	}
	box := func(id string, blank int) Item { return Item{Text: M("sheet.people." + id), Blank: blank} }
	if p.Decides == "" {
		asked("decides", box("self", 0), box("helped", 1), box("another", 1), box("too", 0))
	}
	if p.Interpreter == "" {
		asked("interpreter", box("nobody", 0), box("language", 1), box("here", 0), box("phone", 0), box("video", 0))
	}
}

// knownPeople tells what is known of who decides and who is there. The age matters
// where it changes who decides.
func knownPeople(p casefile.People) []Item {
	var out []Item
	row := func(label string, t Text, more ...Text) {
		out = append(out, Item{Label: M("sheet.people." + label), Text: t, More: more})
	}
	if p.Minor() {
		row("age", M("people.age."+p.AgeBand))
	}
	if p.Decides != "" {
		row("decides", M("sheet.people.decides."+p.Decides))
	}
	if p.Assent != "" {
		row("assent", M("sheet.people.assent."+p.Assent))
	}
	if p.CapacitySupport != "" {
		row("support", Typed(p.CapacitySupport))
	}
	if p.Interpreter != "" {
		var way []Text
		if p.InterpreterWay != "" {
			way = append(way, M("sheet.people.way."+p.InterpreterWay))
		}
		row("interpreter", M("sheet.people.interpreter."+p.Interpreter), way...)
	}
	if p.Companion != "" {
		row("companion", Typed(p.Companion))
	}
	return out
}

// signFour is a line to sign on for everybody who has to, or while that was not asked
// may have to, each with its date; "date-time" where the hour matters too.
func (x *composer) signFour(date string) Block {
	p := casefile.People{}
	if x.c.People != nil {
		p = *x.c.People
	}
	labels := []string{"patient"}
	switch {
	case p.Represented():
		labels = []string{"for-patient", "assent"}
	case p.Decides == "":
		labels = append(labels, "for-patient")
	}
	if p.Interpreter != "none" {
		labels = append(labels, "interpreter")
	}
	b := Block{Kind: Sign, Aside: M("sheet.sign." + date), Keep: true}
	for _, l := range append(labels, "dentist") {
		b.Items = append(b.Items, Item{Label: M("sheet.sign." + l)})
	}
	return b
}

// phoneLine names whom to call in one line, on a sheet that is read in the chair.
func (x *composer) phoneLine() {
	number := func(label, phone string) Item {
		return Item{Label: M("sheet.phones." + label), Text: M("sheet.phones.number", "Phone", Phone(phone))}
	}
	x.add(Block{Kind: List, Style: Fine, Items: []Item{number("day", x.p.Telephone), number("out-of-hours", x.p.EmergencyLine)}})
}
