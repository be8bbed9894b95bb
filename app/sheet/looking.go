package sheet

import (
	"reflect"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// told reports whether any line of a phase applies to this case.
func (x *composer) told(phase string) bool {
	return slices.ContainsFunc(x.pl.Aftercare, func(l plan.AftercareLine) bool { return l.Phase == phase })
}

// lineText is what an aftercare line says, with its figures.
func (x *composer) lineText(l plan.AftercareLine) Text {
	t := Text{ID: "aftercare." + l.Key}
	for _, id := range l.Figures {
		if f, ok := x.b.Figure(id); ok {
			t.figure(f)
		}
	}
	return t
}

// quantities are the units of what is counted and has a noun of its own, with the
// message that says both. A symbol such as mm or ppm has one form for every number.
var quantities = map[evidence.Unit]string{"minutes": "quantity.minutes", "days": "quantity.days", "hours": "", "weeks": "",
	"months": "", "years": "", "working-days": "", "count": ""}

// figure puts a figure into a message: the first that is counted picks the plural form,
// as Count, the next comes with its noun, and the others are Range, Number and Total.
func (t *Text) figure(f evidence.Figure) {
	r := Range{f.Low, f.High, 2}
	noun, isCounted := quantities[f.Unit]
	switch {
	case isCounted && t.Plural == "":
		t.Plural = "Count"
		t.Args = append(t.Args, Arg{"Count", r})
	case isCounted:
		t.Args = append(t.Args, Arg{"Quantity", Word{NRange(noun, r)}})
	default:
		plain := 0
		for _, a := range t.Args {
			if _, is := a.Value.(Range); is && a.Name != "Count" {
				plain++
			}
		}
		t.Args = append(t.Args, Arg{[...]string{"Range", "Number", "Total"}[min(plain, 2)], r})
	}
}

// normal is what is usual in the first days, with how long.
func (x *composer) normal() {
	if !x.told("now") {
		return
	}
	x.add(Block{Kind: Heading, Level: 2, Text: M("sheet.aftercare.normal"), Keep: true})
	b := Block{Kind: List, Style: TwoColumns}
	for _, l := range x.pl.Aftercare {
		if l.Phase == "now" {
			b.Items = append(b.Items, Item{Label: M("aftercare." + l.Key + ".name"), Text: x.lineText(l), Ref: Ref{Teeth: l.Teeth, Figures: l.Figures}})
		}
	}
	x.add(b)
	x.add(Block{Kind: Paragraph, Style: Note, Text: M("sheet.aftercare.normal-note")})
}

// phase lists what to do in one phase, the lines of a topic together.
func (x *composer) phase(phase, heading string, keep bool) {
	if !x.told(phase) {
		return
	}
	x.add(Block{Kind: Heading, Level: 2, Text: M(heading), Keep: keep})
	var items []Item
	var topics []string
	for _, l := range x.pl.Aftercare {
		if l.Phase != phase {
			continue
		}
		topic := ""
		if rule := x.b.Line(l.Key); rule != nil {
			topic = rule.Topic
		}
		if i := slices.Index(topics, topic); i >= 0 && topic != "" {
			items[i].More = append(items[i].More, x.lineText(l))
			items[i].Ref.Figures = append(items[i].Ref.Figures, l.Figures...)
			continue
		}
		it := Item{Text: x.lineText(l), Ref: Ref{Teeth: l.Teeth, Figures: slices.Clone(l.Figures)}}
		if phase == "life" {
			it.Label = M("aftercare.about." + topic)
		}
		topics, items = append(topics, topic), append(items, it)
	}
	x.list(items...)
}

// guard is what goes for a night guard, in one paragraph.
func (x *composer) guard() {
	var it Item
	for _, l := range x.pl.Aftercare {
		switch {
		case l.Phase != "guard":
			continue
		case it.Text.IsZero():
			it.Text = x.lineText(l)
		default:
			it.More = append(it.More, x.lineText(l))
		}
		it.Ref.Figures = append(it.Ref.Figures, l.Figures...)
	}
	if !it.Text.IsZero() {
		x.add(Block{Kind: Heading, Level: 2, Text: M("sheet.aftercare.guard"), Keep: true})
		x.flow(it)
	}
}

// yours is what findings and steps ask for in this mouth, the lines of the same teeth
// together.
func (x *composer) yours() {
	var items []Item
	for _, l := range x.pl.Aftercare {
		if l.Phase != "yours" {
			continue
		}
		label := x.whereOf(l)
		i := slices.IndexFunc(items, func(it Item) bool { return !label.IsZero() && reflect.DeepEqual(it.Label, label) })
		if i >= 0 {
			items[i].More = append(items[i].More, x.lineText(l))
			items[i].Ref.Figures = append(items[i].Ref.Figures, l.Figures...)
			continue
		}
		items = append(items, Item{Label: label, Text: x.lineText(l), Ref: Ref{Teeth: l.Teeth, Figures: slices.Clone(l.Figures)}})
	}
	if len(items) > 0 {
		x.h2("sheet.aftercare.yours")
		x.list(items...)
	}
}

// whereOf names the teeth of a line, or the contacts where it follows a step of contacts.
func (x *composer) whereOf(l plan.AftercareLine) Text {
	if len(l.Teeth) == 0 {
		return Text{}
	}
	var contacts []casefile.Place
	if rule := x.b.Line(l.Key); rule != nil {
		for _, e := range x.c.Done() {
			step := x.b.Change(e.Change)
			if step == nil || !slices.Contains(rule.Changes, e.Change) {
				continue
			}
			if !step.OfContacts() {
				return N("sheet.common.tooth-list", len(l.Teeth), "Teeth", Teeth(l.Teeth))
			}
			contacts = append(contacts, x.c.PlacesOf(e, true)...)
		}
	}
	if len(contacts) == 0 {
		return N("sheet.common.tooth-list", len(l.Teeth), "Teeth", Teeth(l.Teeth))
	}
	return M("sheet.aftercare.between", "Teeth", Pairs(slices.Compact(casefile.SortPlaces(contacts))))
}
