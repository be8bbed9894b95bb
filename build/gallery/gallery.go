// Package gallery shows every part of the screens in every state, for pictures and for
// tests in a browser. Its words and its case are invented.
package gallery

import (
	"slices"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/screens/parts"
)

// Langs are the languages of the gallery, Names its pages.
var (
	Langs = []string{"en", "ar"}
	Names = []string{"mouth", "at-tooth", "places", "states", "settle", "found", "options", "chosen", "tooth", "pairs", "six", "uncertain"}
)

// Page is one page of the gallery.
type Page struct {
	app.Compo
	Name, Lang string

	in, chosen map[casefile.Tooth]bool
	tightAt    map[casefile.Tooth]bool // by the left one of the two teeth
	answer     string
	first      string
	said       string
	shade      string
	findings   map[string]bool
}

// New makes a page with the state it begins in.
func New(name, lang string) *Page {
	p := &Page{Name: name, Lang: lang, in: map[casefile.Tooth]bool{}, chosen: map[casefile.Tooth]bool{21: true},
		tightAt: map[casefile.Tooth]bool{}, shade: "C4", findings: map[string]bool{"grinds": true, "tight": true}}
	for _, t := range ten() {
		p.in[t] = true
	}
	return p
}

func ten() []casefile.Tooth { return []casefile.Tooth{15, 14, 13, 12, 11, 21, 22, 23, 24, 25} }

// w is a word in the language of the page.
func (p *Page) w(en, ar string) string {
	if p.Lang == "ar" {
		return ar
	}
	return en
}

// Render draws the page.
func (p *Page) Render() app.UI {
	draw := map[string]func() app.UI{
		"mouth": p.mouth, "at-tooth": p.mouth, "places": p.places, "states": p.states, "settle": p.settle,
		"found": p.found, "options": p.options, "chosen": p.options, "tooth": p.tooth, "pairs": p.pairs, "six": p.six, "uncertain": p.uncertain,
	}[p.Name]
	if draw == nil {
		return app.Elem("p").Text(p.Name)
	}
	return draw()
}

func none(app.Context) {}

func (p *Page) strip(now int) parts.Strip {
	s := parts.Strip{
		Menu:       parts.Button{ID: "menu", Icon: parts.Menu, Name: p.w("Menu", "القائمة"), Opens: true, Do: none},
		Case:       parts.Button{ID: "case", Text: p.w("Case of today", "حالة اليوم"), Sub: p.w("10 upper teeth, no-prep", "10 أسنان علوية، دون برد"), Do: none},
		StagesName: p.w("Stages", "المراحل"),
		Open:       parts.Button{ID: "open", Text: p.w("3 open", "3 مفتوحة"), Opens: true, Do: none},
		Undo:       parts.Button{ID: "undo", Text: p.w("Undo", "تراجع"), Icon: parts.Undo, Do: none},
		Next:       parts.Button{ID: "next-patient", Text: p.w("Next patient", "المريض التالي"), Do: none},
	}
	for i, name := range []string{p.w("Decide", "القرار"), p.w("Agree", "الاتفاق"), p.w("Try in", "التجربة"), p.w("Care", "العناية")} {
		s.Stages = append(s.Stages, parts.Step{ID: "stage-" + string(rune('1'+i)), Text: name, Now: i == now, Seen: i < now, Do: none})
	}
	return s
}

func (p *Page) enter(now int, title string, body ...app.UI) parts.Enter {
	e := parts.Enter{
		Strip: p.strip(now), Title: title, Hidden: true, Body: body,
		StepsName: p.w("Steps of this stage", "خطوات هذه المرحلة"),
		Where:     parts.Button{ID: "where", Text: p.w("Decide 1/5", "القرار 1/5"), Opens: true, Do: none},
		Ways:      []parts.Button{{ID: "turn", Text: p.w("Show the patient", "اعرض على المريض"), Icon: parts.Turn, Kind: parts.Primary, Do: none}},
	}
	for i, name := range []string{p.w("This mouth", "هذا الفم"), p.w("Options", "الخيارات"), p.w("How long", "كم تدوم"), p.w("Visits", "الزيارات"), p.w("Take home", "للبيت")} {
		e.Steps = append(e.Steps, parts.Step{ID: "step-" + string(rune('1'+i)), Text: name, Now: i == 0, Seen: i == 1, Do: none})
	}
	return e
}

func shadeOf(t casefile.Tooth) string {
	switch {
	case t == 21:
		return "C4"
	case t.Position() == 3:
		return "A3.5"
	}
	return "A3"
}

// teeth are all teeth of the mouth, or the upper ones, with the states of the page.
func (p *Page) teeth(lower bool) []parts.Tooth {
	var out []parts.Tooth
	for _, t := range casefile.AllTeeth() {
		if !t.Upper() && !lower {
			continue
		}
		l := parts.Tooth{Tooth: t, Name: p.w("Tooth ", "السن ") + t.String(), Number: t.String(), In: p.in[t], Chosen: p.chosen[t]}
		if l.In {
			l.Shade, l.Dark = shadeOf(t), t == 21
		}
		if l.Dark {
			l.Name += p.w(", dark, C4", "، غامقة، C4")
		}
		out = append(out, l)
	}
	return out
}

func (p *Page) tight(m parts.Mark) []parts.Pair {
	var out []parts.Pair
	for _, q := range [][2]casefile.Tooth{{15, 14}, {14, 13}, {24, 25}} {
		out = append(out, parts.Pair{Left: q[0], Right: q[1], Mark: m, Key: "3"})
	}
	return out
}

func (p *Page) toggle(_ app.Context, t casefile.Tooth) {
	p.in[t] = !p.in[t]
	clear(p.chosen)
	p.chosen[t] = p.in[t]
}

func (p *Page) extend(_ app.Context, ts []casefile.Tooth) {
	clear(p.chosen)
	for _, t := range ts {
		p.in[t], p.chosen[t] = true, true
	}
}

// both is a chart as a tablet has it and as a phone has it; the style shows one.
func (p *Page) both(c parts.Chart) app.UI {
	phone := c
	phone.ID, phone.Phone, phone.Width, phone.Message = c.ID+"-phone", true, 0, nil
	phone.Rows = [4]string{p.w("Upper right", "أعلى اليمين"), p.w("Upper left", "أعلى اليسار"), p.w("Lower left", "أسفل اليسار"), p.w("Lower right", "أسفل اليمين")}
	return app.Elem("div").Body(app.Elem("div").Class("tablet-only").Body(c.UI()), app.Elem("div").Class("phone-only").Body(phone.UI()))
}

func (p *Page) mouthChart(id string, phone bool) app.UI {
	c := parts.Chart{ID: id, Name: p.w("Teeth, as you look at the patient", "الأسنان كما تنظر إلى المريض"), Teeth: p.teeth(!phone), Pairs: p.tight(parts.Tight),
		Sides: [2]string{p.w("R", "يمين"), p.w("L", "يسار")}, Phone: phone,
		Rows:   [4]string{p.w("Upper right", "أعلى اليمين"), p.w("Upper left", "أعلى اليسار"), p.w("Lower left", "أسفل اليسار"), p.w("Lower right", "أسفل اليمين")},
		Toggle: p.toggle, Extend: p.extend}
	if p.Name == "at-tooth" {
		c.MessageAt = 12
		c.Message = parts.Message{ID: id + "-missing", What: p.w("12 is marked as missing.", "السن 12 مسجلة مفقودة."), More: p.w("A veneer cannot go on it.", "لا توضع عليها قشرة."), Tip: true,
			Ways: []parts.Button{{ID: id + "-out", Text: p.w("Take 12 out", "أخرج 12"), Kind: parts.Primary, Do: none}, {ID: id + "-there", Text: p.w("It is there", "هي موجودة"), Do: none}}}.UI()
	}
	return c.UI()
}

func (p *Page) pick(m map[string]bool) func(app.Context, string) {
	return func(_ app.Context, key string) { m[key] = !m[key] }
}

func (p *Page) findingChips() parts.Chips {
	c := parts.Chips{ID: "findings", Name: p.w("Findings of the whole mouth", "نتائج الفم كله"), Pick: p.pick(p.findings)}
	for _, f := range [][3]string{{"grinds", "Grinds at night", "صرير ليلي"}, {"tight", "Tight contacts", "تماس ضيق"}, {"necks", "Tender necks", "أعناق حساسة"},
		{"thin", "Thin gums", "لثة رقيقة"}, {"wear", "Wear or acid", "تآكل"}, {"bleed", "Gums bleed", "لثة تنزف"}, {"smokes", "Smokes", "تدخين"}, {"deep", "Deep bite", "عضة عميقة"}} {
		c.Items = append(c.Items, parts.Chip{Key: f[0], Text: p.w(f[1], f[2]), On: p.findings[f[0]]})
	}
	return c
}

func (p *Page) shades() parts.Chips {
	c := parts.Chips{ID: "shades", Name: p.w("Shade now", "اللون الآن"), One: true, Look: parts.Grid, Pick: func(_ app.Context, key string) { p.shade = key }}
	for _, s := range []string{"A1", "A2", "A3", "A3.5", "A4", "B1", "B2", "B3", "B4", "", "C1", "C2", "C3", "C4", "", "D2", "D3", "D4"} {
		c.Items = append(c.Items, parts.Chip{Key: s, Text: s, On: s == p.shade, Was: s == "A1"})
	}
	return c
}

func (p *Page) mouth() app.UI {
	quick := parts.Chips{ID: "quick", Name: p.w("Quick choice", "اختيار سريع"), One: true, Pick: func(app.Context, string) {}}
	for _, q := range [][3]string{{"6", "Upper 6", "6 علوية"}, {"8", "Upper 8", "8 علوية"}, {"10", "Upper 10", "10 علوية"}, {"all", "All upper", "كل العلوية"}, {"low", "Lower", "السفلية"}} {
		quick.Items = append(quick.Items, parts.Chip{Key: q[0], Text: p.w(q[1], q[2]), On: q[0] == "10"})
	}
	quick.Items = append(quick.Items, parts.Chip{Key: "list", Text: p.w("As a list", "كقائمة"), Icon: parts.List})
	chart := parts.Panel{ID: "chart-panel", Name: p.w("Teeth", "الأسنان"), Grows: true, Body: []app.UI{
		quick.UI(),
		app.Elem("div").Class("tablet-only").Body(p.mouthChart("chart", false)),
		app.Elem("div").Class("phone-only").Body(p.mouthChart("chart-phone", true),
			parts.Fold{ID: "lower", Text: p.w("Lower teeth", "الأسنان السفلية"), Value: p.w("none", "لا شيء"), Opens: true, Do: none}.UI()),
	}}
	whole := parts.Panel{ID: "whole", Title: p.w("Whole mouth", "الفم كله"), Late: true, Body: []app.UI{p.findingChips().UI()},
		End: parts.Field{ID: "find", Label: p.w("Find a finding", "ابحث عن نتيجة"), Example: p.w("Find a finding: type 2 letters", "ابحث: اكتب حرفين"), Icon: parts.Search, Unseen: true}.UI()}
	which := parts.Chips{ID: "which", Name: p.w("Which shade", "أي لون"), One: true, Look: parts.Joined, Pick: func(app.Context, string) {},
		Items: []parts.Chip{{Key: "now", Text: p.w("Shade now C4", "الآن C4"), On: true}, {Key: "wanted", Text: p.w("Wanted A1", "المطلوب A1")}}}
	side := parts.Panel{ID: "side", Title: p.w("Tooth 21", "السن 21"), Note: p.w("upper left central", "القاطع العلوي الأيسر"),
		End: parts.Button{ID: "all-ten", Text: p.w("All 10", "كل 10"), Do: none}.UI(), Body: []app.UI{
			which.UI(), p.shades().UI(),
			parts.Chips{ID: "this", Name: p.w("This tooth", "هذه السن"), Label: p.w("This tooth", "هذه السن"), Pick: func(app.Context, string) {},
				Items: []parts.Chip{{Key: "dark", Text: p.w("Dark", "غامقة"), On: true}, {Key: "root", Text: p.w("Root-filled", "محشوة الجذر")}, {Key: "more", Text: p.w("More", "المزيد"), Icon: parts.Search}}}.UI(),
			parts.Fold{ID: "option", Text: p.w("Option", "الخيار"), Value: p.w("No-prep", "دون برد"), Do: none}.UI(),
			parts.Fold{ID: "decides", Text: p.w("Who decides", "من يقرر"), Value: p.w("not asked yet", "لم يُسأل بعد"), Icon: parts.People, Do: none}.UI(),
		}}
	e := p.enter(0, p.w("This mouth", "هذا الفم"), parts.Columns(parts.Stack(chart.UI(), whole.UI()), side.UI()))
	e.Strip.Note = p.w("Offline", "دون اتصال")
	return e.UI()
}

// places asks where contacts are tight.
func (p *Page) places() app.UI {
	teeth := slices.DeleteFunc(p.teeth(false), func(t parts.Tooth) bool { return !t.In })
	var pairs []parts.Pair
	for i := 1; i < len(teeth); i++ {
		l, r := teeth[i-1].Tooth, teeth[i].Tooth
		m := parts.Blank
		if p.tightAt[l] {
			m = parts.Yes
		}
		pairs = append(pairs, parts.Pair{Left: l, Right: r, Mark: m, Box: true, Name: p.w("Between ", "بين ") + l.String() + p.w(" and ", " و") + r.String()})
	}
	chart := parts.Chart{ID: "chart", Name: p.w("Places between the upper teeth", "أماكن بين الأسنان العلوية"), Teeth: teeth, Pairs: pairs,
		Pair: func(_ app.Context, l, _ casefile.Tooth) { p.tightAt[l] = !p.tightAt[l] }}
	panel := parts.Panel{ID: "where-panel", Title: p.w("Where are contacts tight?", "أين التماس ضيق؟"), Grows: true,
		End:  parts.Button{ID: "done", Text: p.w("Done", "تم"), Kind: parts.Primary, Do: none}.UI(),
		Body: []app.UI{p.both(chart)}}
	return p.enter(0, p.w("Places", "الأماكن"), panel.UI()).UI()
}

// states shows each state of a tooth and each mark, and the message about what just happened.
func (p *Page) states() app.UI {
	teeth := p.teeth(true)
	for i := range teeth {
		t := &teeth[i]
		switch t.Tooth {
		case 13, 12, 22, 23:
			t.Done, t.Shade = true, ""
		case 11:
			t.Change, t.Key = true, "1"
		case 24, 25, 26:
			t.Chosen = true
		case 31, 32, 41:
			t.In, t.Shade = true, "B1"
		case 42:
			t.In, t.Chosen, t.Dark, t.Shade = true, true, true, "C4"
		case 33:
			t.In, t.Done = true, true
		}
	}
	pairs := []parts.Pair{{Left: 18, Right: 17, Mark: parts.Blank}, {Left: 16, Right: 15, Mark: parts.Yes}, {Left: 12, Right: 11, Mark: parts.Ask},
		{Left: 21, Right: 22, Mark: parts.No}, {Left: 26, Right: 27, Mark: parts.Keyed, Key: "4"}, {Left: 42, Right: 41, Mark: parts.Tight}}
	chart := parts.Chart{ID: "chart", Width: 1124, Name: p.w("Every state", "كل الحالات"), Teeth: teeth, Pairs: pairs, Toggle: p.toggle, Extend: p.extend,
		MessageAt: 36, Message: parts.Message{ID: "note", What: p.w("36 was root-filled.", "السن 36 محشوة الجذر."), Weight: parts.Good, Tip: true}.UI()}
	e := p.enter(2, p.w("States", "الحالات"), parts.Panel{ID: "states", Title: p.w("States", "الحالات"), Body: []app.UI{p.both(chart)}}.UI(),
		parts.Panel{ID: "buttons", Title: p.w("Buttons", "الأزرار"), Body: []app.UI{parts.Row(
			parts.Button{ID: "b1", Text: p.w("Plain", "عادي"), Do: none}.UI(), parts.Button{ID: "b2", Text: p.w("Quiet", "هادئ"), Kind: parts.Quiet, Do: none}.UI(),
			parts.Button{ID: "b3", Text: p.w("Sources", "المصادر"), Kind: parts.Link, Do: none}.UI(), parts.Button{ID: "b4", Text: p.w("Clear", "امسح"), Kind: parts.Outlined, Do: none}.UI(),
			parts.Button{ID: "b5", Text: p.w("Not yet", "ليس بعد"), Off: true}.UI(), parts.Button{ID: "b6", Text: p.w("On", "التالي"), Icon: parts.Forward, After: true, Kind: parts.Primary, Do: none}.UI(),
			parts.Button{ID: "b7", Icon: parts.Plus, Name: p.w("More", "المزيد"), Do: none}.UI())}}.UI())
	e.Over = parts.Message{ID: "passing", What: p.w("Shade A3 set on 9 teeth", "اللون A3 على 9 أسنان"), Weight: parts.Passing,
		Ways: []parts.Button{{ID: "take-back", Text: p.w("Undo", "تراجع"), Do: none}}}.UI()
	return e.UI()
}

// settle shows fields and messages where something is wrong.
func (p *Page) settle() app.UI {
	wrong := parts.Message{ID: "why-wrong", What: p.w("Write what the patient says, or sign on Jan 19.", "اكتب ما يقوله المريض، أو وقّع يوم 19 يناير."),
		More: p.w("These words are kept in the record and on the consent.", "تبقى هذه الكلمات في السجل وفي الموافقة."),
		Ways: []parts.Button{{ID: "way-1", Text: p.w("Sign on Jan 19", "التوقيع 19 يناير"), Kind: parts.Primary, Do: none}, {ID: "way-2", Text: p.w("Take it back", "استرجعها"), Do: func(app.Context) { p.said = "" }}}}
	e := p.enter(1, p.w("Before signing", "قبل التوقيع"),
		parts.Panel{ID: "open-1", Title: p.w("Days to think are not over", "لم تنته أيام التفكير"), Body: []app.UI{
			parts.Field{ID: "why", Label: p.w("In the patient's own words", "بكلمات المريض"), Hint: p.w("As they say it", "كما قالها"), Lines: 3, Value: p.said, Wrong: &wrong,
				Input: func(_ app.Context, v string) { p.said = v }}.UI(),
		}}.UI(),
		parts.Panel{ID: "open-2", Title: p.w("Say it back", "إعادة القول"), Flat: true, Body: []app.UI{
			parts.Message{ID: "ask", What: p.w("Ask: do you decide about this yourself?", "اسأل: هل تقرر بنفسك؟"), Weight: parts.Good}.UI(),
			parts.Fold{ID: "settled", Text: p.w("9 settled", "9 مسوّاة"), Icon: parts.Check, Opens: true, Open: true, Do: none}.UI()}}.UI())
	e.Hidden, e.Note = false, p.w("3 still open, 9 settled", "3 مفتوحة، 9 مسوّاة")
	e.End = parts.Field{ID: "chart-number", Label: p.w("Chart number", "رقم الملف"), Beside: true, Value: "4502", Mode: "numeric"}.UI()
	return e.UI()
}

func (p *Page) show(at int, heading string, body ...app.UI) parts.Show {
	return parts.Show{
		Return: parts.Button{ID: "return", Text: p.w("Dentist", "الطبيب"), Name: p.w("Dentist: turn to that side", "الطبيب: اقلب الصفحة"), Icon: parts.Turn, Do: none},
		Stage:  p.w("Decide", "القرار"), Place: p.w("Page 2 of 5", "الصفحة 2 من 5"), At: at, Of: 5,
		Tools: []parts.Button{{ID: "print", Text: "Aa", Name: p.w("Aa: larger print", "Aa: خط أكبر"), Do: none},
			{ID: "flip", Icon: parts.Flip, Name: p.w("Turn the page for someone opposite", "اقلب لمن يجلس مقابلك"), Do: none}},
		Heading: heading, Body: body,
		Back: parts.Button{ID: "back", Icon: parts.Back, Name: p.w("Back", "رجوع"), Do: none},
		Go:   parts.Button{ID: "go", Text: p.w("Next", "التالي"), Icon: parts.Forward, After: true, Kind: parts.Primary, Do: none},
	}
}

func (p *Page) sides() [2]string {
	return [2]string{p.w("your right", "يمينك"), p.w("your left", "يسارك")}
}

// still is a chart of the patient's side: no numbers, nothing chosen.
func (p *Page) still(teeth ...casefile.Tooth) []parts.Tooth {
	var out []parts.Tooth
	for _, t := range teeth {
		out = append(out, parts.Tooth{Tooth: t, Dark: t == 21})
	}
	return out
}

func (p *Page) found() app.UI {
	teeth := p.still(append(append([]casefile.Tooth{16}, ten()...), 26)...)
	for i := range teeth {
		switch t := &teeth[i]; t.Tooth {
		case 16, 26:
			t.Faint = true
		case 21:
			t.Key = "1"
		case 13, 23:
			t.Key, t.Neck = "2", true
		}
	}
	chart := parts.Chart{ID: "chart", Name: p.w("Your upper teeth with three numbered findings", "أسنانك العلوية مع ثلاث نتائج مرقمة"), Teeth: teeth, Pairs: p.tight(parts.Keyed), Width: 1084, Sides: p.sides()}
	s := p.show(1, p.w("What we found in your mouth", "ما وجدناه في فمك"), p.both(chart))
	s.Lead = p.w("We do not know yet whether the dark tooth is healthy.", "لا نعرف بعد إن كانت السن الغامقة سليمة.")
	return s.UI()
}

func (p *Page) options() app.UI {
	t := parts.Table{ID: "options", Name: p.w("Options beside each other", "الخيارات جنبًا إلى جنب"), Corner: p.w("Tap a fact to put it first", "المس سطرًا ليأتي أولًا"),
		First: func(_ app.Context, key string) { p.first = key }, Open: func(app.Context, string, int) {},
		Options: []string{p.w("No treatment for now", "لا علاج الآن"), p.w("Whitening only", "تبييض فقط"), p.w("Composite, tooth-colored", "حشو بلون السن"), p.w("Veneers, no drilling", "قشور دون برد"), p.w("Veneers, a little drilling", "قشور مع برد قليل")}}
	rows := [][]string{{"taken", p.w("Tooth taken away", "ما يُزال من السن"), p.w("None", "لا شيء"), p.w("None", "لا شيء"), p.w("Little or none", "قليل أو لا شيء"), p.w("None planned", "لا شيء حسب الخطة"), p.w("A thin layer", "طبقة رقيقة")},
		{"undone", p.w("Can it be undone?", "هل يمكن التراجع؟"), p.w("Yes", "نعم"), p.w("Yes", "نعم"), p.w("Mostly", "في معظمه"), p.w("Not fully", "ليس تمامًا"), p.w("No", "لا")},
		{"downside", p.w("Main downside", "أهم عيب"), p.w("Nothing changes", "لا يتغير شيء"), p.w("Shape stays", "الشكل يبقى"), p.w("Stains, wears", "يتصبغ ويتآكل"), p.w("Fuller teeth", "أسنان أسمك"), p.w("Enamel is lost", "تُفقد المينا")},
		{"dark", p.w("The dark tooth", "السن الغامقة"), p.w("Stays", "تبقى"), p.w("Lighter", "أفتح"), p.w("May show", "قد تظهر"), p.w("May show", "قد تظهر"), p.w("not known", "غير معروف")},
		{"visits", p.w("Visits", "الزيارات"), "0", "4", "6", "10", "11"}, {"cost", p.w("Cost, all in", "التكلفة كاملة"), "$0", "$300", "$3,750", "$10,850", "$11,350"},
		{"later", p.w("Later", "لاحقًا"), p.w("Nothing", "لا شيء"), p.w("Whiten again", "تبييض ثانية"), p.w("Polish, repair", "تلميع وإصلاح"), p.w("Some day anew", "تُجدَّد يومًا ما"), p.w("Some day anew", "تُجدَّد يومًا ما")}}
	few := p.Name == "chosen"
	if few {
		t.Options = []string{t.Options[0], t.Options[2], t.Options[3]}
		t.Open, t.Corner = nil, ""
	}
	for i, r := range rows {
		f := parts.Fact{Key: r[0], Name: r[1], First: r[0] == p.first || few && i == 0 && p.first == ""}
		for j, c := range r[2:] {
			if !few || j == 0 || j == 2 || j == 3 {
				f.Cells = append(f.Cells, parts.Cell{Text: c, Unknown: r[0] == "dark" && j == 4})
			}
		}
		t.Rows = append(t.Rows, f)
	}
	if few {
		t.First = nil
	}
	s := p.show(2, p.w("Your choices, side by side", "خياراتك جنبًا إلى جنب"), t.UI())
	s.End = parts.Chips{ID: "how-many", Name: p.w("How many options", "كم خيارًا"), One: true, Look: parts.Joined, Pick: func(app.Context, string) {},
		Items: []parts.Chip{{Key: "all", Text: p.w("All 5", "الكل 5"), On: !few}, {Key: "few", Text: p.w("Choose up to 3", "حتى 3"), On: few}}}.UI()
	return s.UI()
}

func (p *Page) answers(yes bool) app.UI {
	a := parts.Answers{ID: "answer", Name: p.w("Your answer", "إجابتك"), Given: p.answer, Pick: func(_ app.Context, key string) { p.answer = key }}
	if yes {
		a.Items = append(a.Items, parts.Answer{Key: "yes", Text: p.w("Yes, you may", "نعم، لا مانع"), Note: p.w("if it is needed", "إذا لزم الأمر"), Icon: parts.Check})
	}
	a.Items = append(a.Items, parts.Answer{Key: "ask", Text: p.w("Ask me first", "اسألني أولًا"), Note: p.w("we stop and you decide", "نتوقف وأنت تقرر"), Icon: parts.Hand},
		parts.Answer{Key: "no", Text: p.w("No", "لا"), Note: p.w("the tooth may look darker", "قد تبدو السن أغمق"), Icon: parts.Cross})
	return a.UI()
}

func (p *Page) tooth() app.UI {
	teeth := p.still(13, 12, 11, 21, 22, 23)
	for i := range teeth {
		teeth[i].Chosen = teeth[i].Tooth == 21
	}
	s := p.show(3, p.w("At the try-in we may want to take a thin layer off one tooth, with a drill", "عند التجربة قد نحتاج إلى إزالة طبقة رقيقة من سن واحدة بالمثقب"),
		parts.Chart{ID: "chart", Name: p.w("The dark tooth, upper front, on your left", "السن الغامقة، الأمامية العلوية اليسرى"), Teeth: teeth, Width: 622, Sides: p.sides()}.UI())
	s.Back, s.Go, s.Answers = parts.Button{}, parts.Button{}, p.answers(true)
	return s.UI()
}

func (p *Page) pairs() app.UI {
	teeth := p.still(append(append([]casefile.Tooth{16}, ten()...), 26)...)
	for i := range teeth {
		t := &teeth[i]
		t.Faint = t.Tooth.Position() == 6
		t.Chosen = t.Tooth == 14 || t.Tooth == 13
		t.Dark = false
	}
	pairs := p.tight(parts.Blank)
	pairs[0].Mark = parts.Yes
	for i, n := range []string{p.w("Spot 1: yes", "الموضع 1: نعم"), p.w("Spot 2: asked now", "الموضع 2: السؤال الآن"), p.w("Spot 3: no answer yet", "الموضع 3: دون إجابة")} {
		pairs[i].Name = n
	}
	chart := parts.Chart{ID: "chart", Name: p.w("Three tight spots", "ثلاثة مواضع ضيقة"), Teeth: teeth, Pairs: pairs, Width: 1084, Sides: p.sides(),
		Pair: func(app.Context, casefile.Tooth, casefile.Tooth) {}}
	s := p.show(2, p.w("Tight spot 2 of 3: may we pass a thin strip between these two teeth?", "موضع ضيق 2 من 3: هل نمرر شريطًا رفيعًا بين هاتين السنين؟"),
		p.both(chart))
	s.Lead = p.w("It takes a hair's breadth of enamel from each side. It cannot be undone.", "يأخذ قدر شعرة من المينا من كل جانب. لا رجعة فيه.")
	s.Back, s.Go, s.Answers = parts.Button{}, parts.Button{}, p.answers(true)
	return s.UI()
}

func (p *Page) six() app.UI {
	a := parts.Answers{ID: "six", Name: p.w("What is different", "ما المختلف"), Given: p.answer, Pick: func(_ app.Context, key string) { p.answer = key }}
	for _, i := range [][3]string{{"long", "Too long", "طويلة"}, {"short", "Too short", "قصيرة"}, {"wide", "Too wide", "عريضة"}, {"narrow", "Too narrow", "ضيقة"}, {"round", "Too round", "مدورة"}, {"other", "Something else", "شيء آخر"}} {
		a.Items = append(a.Items, parts.Answer{Key: i[0], Text: p.w(i[1], i[2])})
	}
	s := p.show(3, p.w("What looks different from what you expected?", "ما الذي يختلف عما توقعت؟"), a.UI())
	s.Answers = p.answers(false)
	s.Foot = []app.UI{parts.Button{ID: "sources", Text: p.w("Sources", "المصادر"), Kind: parts.Link, Do: none}.UI()}
	return s.UI()
}

func (p *Page) uncertain() app.UI {
	s := p.show(4, p.w("Too uncertain to say", "غير مؤكد بما يكفي"))
	s.Middle, s.Lead = true, p.w("The studies leave room for “unlikely” and for “more likely than not”.", "تترك الدراسات مجالًا لـ«غير محتمل» و«الأرجح».")
	s.Over = parts.Message{ID: "passing", What: p.w("Shown to you today", "عُرض عليك اليوم"), Weight: parts.Passing}.UI()
	return s.UI()
}
