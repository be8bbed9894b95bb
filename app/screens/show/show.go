// Package show draws the patient's side of the screen: the pages of package talk, one at a
// time, with nothing around them but the way back, the way on and what belongs to the page.
package show

import (
	"slices"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/screens/parts"
	"plainleaf/app/sheet"
	"plainleaf/app/talk"
)

// Props are what the side shows and whom it calls.
type Props struct {
	Pages []talk.Page
	Teeth []casefile.Tooth // of the case, for the picture of what was found
	Phone bool
	Words Words

	// First says which wish the patient put first to third, from 1; 0 for none.
	First func(priority string) int
	// Put is called for the wish of a fact that is tapped.
	Put func(ctx app.Context, priority string)
	// Answer is called with what the patient says to care that comes first.
	Answer func(ctx app.Context, care string, a casefile.Answer)
	// Detail is words or numbers, as the patient asked for.
	Detail string
	Tell   func(ctx app.Context, detail string)
	// Return leads back to the dentist's side, Sources to where the numbers of a page come
	// from, Home on after the last page.
	Return, Home func(app.Context)
	Sources      func(ctx app.Context, figures []string)
}

// Words say the texts of the screen's language.
type Words struct {
	Message func(sheet.Text) string
	Text    func(id string, values ...string) string
	Join    func(sentences ...string) string // to one paragraph
	Month   func(casefile.Date) string
	Label   func(casefile.Tooth) string // its number
	Number  func(int) string
}

// Side shows the pages. It remembers which one is in view and how the screen lies.
type Side struct {
	app.Compo
	Props   Props
	at      int
	flipped bool
}

// Render draws the page in view.
func (s *Side) Render() app.UI {
	p := s.Props
	s.at = min(s.at, len(p.Pages)-1)
	page, w := p.Pages[s.at], p.Words
	show := parts.Show{
		Return: parts.Button{ID: "return", Text: w.Text("talk.return"), Icon: parts.Turn, Do: p.Return},
		Stage:  w.Text("talk.stage.decide"),
		Place:  w.Text("talk.place", "Number", w.Number(s.at+1), "Total", w.Number(len(p.Pages))),
		At:     s.at + 1, Of: len(p.Pages),
		Tools:   []parts.Button{{ID: "flip", Text: w.Text("talk.flip"), Name: w.Text("talk.flip-name"), Icon: parts.Flip, Do: func(app.Context) { s.flipped = !s.flipped }}},
		Heading: w.Message(page.Title),
		Lead:    s.lead(page),
		Go:      parts.Button{ID: "go-on", Text: s.wayOn(), Icon: parts.Forward, After: true, Kind: parts.Primary, Do: s.goOn},
	}
	if s.at > 0 {
		show.Back = parts.Button{ID: "go-back", Name: w.Text("talk.back"), Icon: parts.Back, Do: func(ctx app.Context) { s.turnTo(ctx, s.at-1) }}
	}
	s.body(page, &show)
	if s.flipped {
		return app.Elem("div").Class("flipped").Body(show.UI())
	}
	return app.Elem("div").Body(show.UI())
}

// turnTo shows another page, and reads out its heading.
func (s *Side) turnTo(ctx app.Context, at int) {
	s.at = at
	ctx.Defer(func(app.Context) {
		if e := app.Window().Get("document").Call("getElementById", "head"); e.Truthy() {
			e.Call("focus")
		}
	})
}

func (s *Side) goOn(ctx app.Context) {
	if s.at == len(s.Props.Pages)-1 {
		s.Props.Home(ctx)
		return
	}
	s.turnTo(ctx, s.at+1)
}

// wayOn names the next page.
func (s *Side) wayOn() string {
	if s.at == len(s.Props.Pages)-1 {
		return s.Props.Words.Text("talk.next.home")
	}
	return s.Props.Words.Text("talk.next." + s.Props.Pages[s.at+1].Key)
}

func (s *Side) lead(page talk.Page) string {
	said := make([]string, len(page.Lead))
	for i, t := range page.Lead {
		said[i] = s.Props.Words.Message(t)
	}
	return s.Props.Words.Join(said...)
}

// body puts what a page has into it.
func (s *Side) body(page talk.Page, show *parts.Show) {
	w := s.Props.Words
	switch {
	case len(page.Points) > 0:
		show.Body = s.found(page)
	case len(page.Facts) > 0:
		s.care(page, show)
	case page.Table != nil:
		show.Body = []app.UI{s.options(*page.Table, show.Heading)}
	case len(page.Line) > 0:
		show.Body = []app.UI{s.line(page.Line)}
	case page.Picture != nil:
		c := page.Picture
		caption := w.Message(c.Caption)
		show.Body = []app.UI{parts.Crowns{Of: c.Of, Marked: c.High, Caption: caption, Name: show.Heading + ", " + caption}.UI()}
	default:
		show.Middle = true
	}
	if page.Key != talk.Lasts {
		return
	}
	show.Foot = append(show.Foot, parts.Chips{ID: "detail", Name: w.Text("page.detail.title"), One: true, Look: parts.Joined, Pick: s.Props.Tell,
		Items: []parts.Chip{{Key: "words", Text: w.Text("talk.detail.words"), On: s.Props.Detail == "words"}, {Key: "numbers", Text: w.Text("talk.detail.numbers"), On: s.Props.Detail != "words"}}}.UI())
	if len(page.Figures) > 0 {
		show.Foot = append(show.Foot, parts.Button{ID: "sources", Text: w.Text("talk.sources"), Kind: parts.Link,
			Do: func(ctx app.Context) { s.Props.Sources(ctx, page.Figures) }}.UI())
	}
}

// found is the teeth of the case with a number where something was found, and the facts.
func (s *Side) found(page talk.Page) []app.UI {
	w := s.Props.Words
	mark := map[casefile.Tooth]string{}
	list := make([]parts.Point, len(page.Points))
	for i, p := range page.Points {
		list[i] = parts.Point{Name: w.Message(p.Name), Text: w.Message(p.Text)}
		for _, t := range p.Teeth {
			if mark[t] == "" { // a tooth has room for one number, that of what comes first
				mark[t] = w.Number(i + 1)
			}
		}
	}
	var teeth []parts.Tooth
	for _, t := range around(s.Props.Teeth) {
		in := slices.Contains(s.Props.Teeth, t)
		x := parts.Tooth{Tooth: t, Faint: !in, Key: mark[t], Dark: slices.Contains(page.Dark, t)}
		if in {
			x.Number = w.Label(t)
		}
		teeth = append(teeth, x)
	}
	if len(teeth) == 0 {
		return []app.UI{parts.Points(list)}
	}
	chart := parts.Chart{ID: "found-teeth", Name: w.Text("talk.found.picture"), Teeth: teeth, Phone: s.Props.Phone,
		Sides: [2]string{w.Text("talk.side.right"), w.Text("talk.side.left")}}
	return []app.UI{chart.UI(), parts.Points(list)}
}

// care is what comes first, with the answers to it.
func (s *Side) care(page talk.Page, show *parts.Show) {
	w := s.Props.Words
	facts := make([]parts.Said, len(page.Facts))
	for i, f := range page.Facts {
		said := make([]string, len(f.Texts))
		for j, t := range f.Texts {
			said[j] = w.Message(t)
		}
		facts[i] = parts.Said{Label: w.Message(f.Label), Text: w.Join(said...)}
	}
	var teeth []parts.Tooth
	for _, t := range around(page.Teeth) {
		teeth = append(teeth, parts.Tooth{Tooth: t, Faint: !slices.Contains(page.Teeth, t), Chosen: slices.Contains(page.Teeth, t)})
	}
	var chart app.UI
	if len(teeth) > 0 {
		chart = parts.Chart{ID: "care-teeth", Name: w.Text("talk.first.picture"), Teeth: teeth, Phone: s.Props.Phone,
			Sides: [2]string{w.Text("talk.side.right"), w.Text("talk.side.left")}}.UI()
	}
	show.Body = []app.UI{parts.Facts(chart, facts)}
	if page.Care == "" { // answered on the page after it
		return
	}
	show.Answers = parts.Answers{ID: "care", Name: show.Heading, Given: string(page.Said), Items: []parts.Answer{
		{Key: string(casefile.Agree), Text: w.Text("sheet.care.yes"), Note: w.Text("talk.first.yes-note"), Icon: parts.Check},
		{Key: string(casefile.Ask), Text: w.Text("sheet.care.not-yet"), Icon: parts.Hand},
		{Key: string(casefile.No), Text: w.Text("sheet.care.no"), Icon: parts.Cross},
	}, Pick: func(ctx app.Context, key string) { s.Props.Answer(ctx, page.Care, casefile.Answer(key)) }}.UI()
}

// around lists teeth with those beside them that a smile shows, so that one sees where
// they are.
func around(teeth []casefile.Tooth) (out []casefile.Tooth) {
	const smile = 5 // positions from the midline, common practice
	for _, t := range casefile.AllTeeth() {
		jaw := slices.ContainsFunc(teeth, func(x casefile.Tooth) bool { return x.Upper() == t.Upper() })
		if jaw && (t.Position() <= smile || slices.Contains(teeth, t)) {
			out = append(out, t)
		}
	}
	return out
}

// options is the table; a fact that answers a wish can be put first.
func (s *Side) options(t talk.Table, name string) app.UI {
	w := s.Props.Words
	out := parts.Table{ID: "options", Name: name, Corner: w.Text("talk.row.first")}
	for _, h := range t.Heads {
		out.Options = append(out.Options, w.Message(h.Name))
	}
	wish := map[string]string{}
	for _, r := range t.Rows {
		wish[r.Key] = r.Priority
		f := parts.Fact{Key: r.Key, Name: w.Message(r.Label), Fixed: r.Priority == "", First: r.Priority != "" && s.Props.First(r.Priority) > 0}
		for _, c := range r.Cells {
			said := make([]string, len(c))
			unknown := false
			for i, text := range c {
				said[i] = w.Message(text)
				unknown = unknown || strings.HasSuffix(text.ID, ".not-known")
			}
			f.Cells = append(f.Cells, parts.Cell{Text: w.Join(said...), Unknown: unknown})
		}
		out.Rows = append(out.Rows, f)
	}
	out.First = func(ctx app.Context, key string) { s.Props.Put(ctx, wish[key]) }
	return out.UI()
}

func (s *Side) line(list []talk.Stop) app.UI {
	w := s.Props.Words
	out := make([]parts.Stop, len(list))
	for i, x := range list {
		out[i] = parts.Stop{Numbers: w.Number(x.First), Name: w.Message(x.Name), When: w.Month(x.Month), After: w.Message(x.After)}
		if x.Last > x.First {
			out[i].Numbers = w.Text("talk.visits.numbers", "From", w.Number(x.First), "To", w.Number(x.Last))
		}
	}
	return parts.Line(out)
}
