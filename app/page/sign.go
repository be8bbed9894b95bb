package page

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/printout"
	"plainleaf/app/record"
	"plainleaf/app/screens/state"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// sealing is what stands around signing and sealing on the screen.
type sealing struct {
	lacks   string // what the signature being given lacks
	fault   string // why no record was made
	over    string // Model.Over of the sheet that was told of
	aside   int    // signatures set aside when last looked
	purpose bool   // what a record is for has been asked
	// paperOn is the day on which the agreement was signed by hand, as typed, and
	// paperKept where that paper is.
	paperOn, paperKept string
	waived             map[string]string // words on open points, as typed
}

// now is the device's date and time with its distance from UTC, RFC 3339.
func now() string {
	d := app.Window().Get("Date").New()
	// The browser counts minutes from local time to UTC.
	zone := time.FixedZone("", -60*d.Call("getTimezoneOffset").Int())
	return time.UnixMilli(int64(d.Call("getTime").Float())).In(zone).Format(time.RFC3339)
}

// moment splits a time of now into a date and a time of day, in a language.
func moment(l i18n.Language, at string) (date, clock string) {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return "", ""
	}
	date, _ = l.Date(t.Year(), int(t.Month()), t.Day())
	clock, _ = l.Clock(t.Hour(), t.Minute())
	return date, clock + " (UTC" + t.Format("-07:00") + ")"
}

// signing is the part of the sheets screen where a sheet is signed and sealed;
// nothing on sheets that nobody signs.
func (r *Root) signing() app.UI {
	if !r.d.Paper().ToSign() || r.preview.html == "" {
		return none()
	}
	return box("div", "", r.signPart(), r.sealPart())
}

// whats are the answers to what a sheet asks, as the state has them.
var whats = []string{"agreed", "refused", "later"}

// roleWord is the message that names who signs.
func roleWord(role string) string { return "page.sign.role." + role }

func (r *Root) signPart() app.UI {
	shown := r.preview.shown
	decided := r.signed.Decision(shown)
	var options []option
	for _, w := range whats {
		options = append(options, option{w, r.t("page.sign.what." + w)})
	}
	var body []app.UI
	if p := r.d.Plan(); p != nil && (r.d.Paper().Print().Kind != sheet.Consent || len(p.NoLines()) == 0) {
		body = append(body, say("p", "hint", r.t("page.sign.about"))) // of the lines on the sheet
	}
	if r.d.Paper().Print().Kind == "consent" {
		body = append(body, r.purposePick())
	}
	body = append(body, r.asideNotice())
	withdrawn := r.signed.Signatures().Purpose == record.Withdrawal && r.d.Paper().Print().Kind == "consent"
	if !withdrawn {
		body = append(body, r.openPoints(), r.pick("decision", r.t("page.sign.decision"), decided.What, options, nil,
			func(v string) { r.signed.Decide(v, r.preview.shown, now()) }))
	}
	if decided.What == "refused" {
		date, clock := moment(r.lang(), decided.At)
		body = append(body, el("div").ID("refused").Class("notice").Body(
			say("p", "", r.t("page.sign.refused", "Date", date, "Time", clock)), say("p", "", r.t("page.sign.refused-more"))))
	}
	switch {
	case decided.What == "agreed" && !withdrawn && len(r.d.Consent().Held()) > 0:
		body = append(body, say("p", "hint", r.t("page.seal.lacks.open"))) // a signature would not fit the sheet once that is settled
	case decided.What != "" || withdrawn:
		if r.d.Patient().People().Decides == "" {
			body = append(body, el("p").ID("signers-unasked").Class("hint").Text(r.t("open.decides")))
		}
		body = append(body, r.signers(), r.otherSigner())
	default:
		body = append(body, say("p", "hint", r.t("page.sign.first")))
	}
	return part("signing", r.t("page.sign.title"), body...)
}

// signers lists who signs, what each has signed, and the form of the one who is
// signing now.
func (r *Root) signers() app.UI {
	roles := r.signed.Signers()
	return el("ul").ID("signers").Class("plain signers").Body(
		each(len(roles), func(i int) app.UI { return el("li").DataSet("role", roles[i]).Body(r.signer(roles[i])...) }))
}

func (r *Root) signer(role string) []app.UI {
	name := r.t(roleWord(role))
	body := []app.UI{say("p", "who", name)}
	if role == "interpreter" {
		if way := r.d.Patient().People().InterpreterWay; way != "" {
			body = append(body, say("p", "hint", r.t("people.way."+way)))
		}
	}
	if p := r.signed.Signatures().Pad; p != nil && p.Sheet == r.d.Paper().Print().Kind && p.Role == role {
		return append(body, r.padForm(*p, name))
	}
	s := r.signed.Signature(role, r.preview.shown)
	if s == nil {
		return append(body, r.button("sign-"+role, "second", r.t("page.sign.sign"), func() {
			r.signed.OpenPad(role)
			if role == "patient" {
				r.signed.EditPad(func(p *state.Pad) { p.Name = r.d.Paper().Person().Name })
			} else if role == "dentist" {
				r.signed.EditPad(func(p *state.Pad) { p.Name = r.office.File().Dentist })
			}
			r.focus = "sign-way-drawn"
		}).Aria("label", r.t("page.sign.sign-as", "Name", name)))
	}
	return append(body,
		el("div").Class("given").DataSet("signed", role).Body(ink(*s), say("p", "", r.signedBy(r.words, *s))),
		r.button("unsign-"+role, "quiet", r.t("page.sign.back"), func() {
			r.signed.Unsign(role, r.preview.shown)
			r.focus = "sign-" + role
		}).Aria("label", r.t("page.sign.back-as", "Name", name)))
}

// ways are how somebody may sign.
var ways = []string{"drawn", "typed", "mark", "paper"}

// padForm takes one signature.
func (r *Root) padForm(p state.Pad, name string) app.UI {
	edit := func(f func(*state.Pad, string)) func(string) {
		return func(v string) { r.signed.EditPad(func(p *state.Pad) { f(p, v) }) }
	}
	var options []option
	for _, w := range ways {
		options = append(options, option{w, r.t("page.sign.way." + w)})
	}
	draws := p.Way == "drawn" || p.Way == "mark"
	var dateFaults fault.List
	if p.PaperOn != "" {
		if _, err := casefile.ParseDate(p.PaperOn); err != nil {
			dateFaults.Append(fault.New("PAGE-DATE", "paper", "%q is not a date", p.PaperOn).With("Text", p.PaperOn))
		}
	}
	body := []app.UI{
		r.pick("sign-way", r.t("page.sign.way"), p.Way, options, nil, edit(func(p *state.Pad, v string) { p.Way = v })),
		r.entry("sign-name", "text", r.t("page.sign.name"), r.t("page.sign.name-hint."+p.Way), p.Name, nil,
			edit(func(p *state.Pad, v string) { p.Name = v })),
	}
	if draws {
		body = append(body, r.pad(p, name))
	}
	if p.Way == "mark" {
		body = append(body, say("p", "hint", r.t("page.sign.mark")))
	}
	if p.Way == "paper" {
		body = append(body, box("div", "row",
			r.entry("sign-paper", "text", r.t("page.sign.paper"), r.t("page.sign.paper-hint"), p.Paper, nil,
				edit(func(p *state.Pad, v string) { p.Paper = v })),
			r.entry("sign-paper-on", "text", r.t("page.sign.paper-on"), r.t("page.sign.date-hint", "Date", today().String()), p.PaperOn, dateFaults,
				edit(func(p *state.Pad, v string) { p.PaperOn = strings.TrimSpace(v) }))))
	}
	body = append(body,
		app.If(r.sig.lacks != "", func() app.UI {
			return el("div").Role("alert").Body(el("ul").ID("sign-fault").Class("faults").Body(say("li", "", r.lacking())))
		}),
		box("div", "chips",
			r.button("sign-done", "", r.t("page.sign.done"), func() {
				if r.sig.lacks = r.signed.Signatures().Pad.Fault(); r.sig.lacks != "" {
					r.focus = map[string]string{"strokes": "sign-way-typed", "name": "sign-name", "paper": "sign-paper", "date": "sign-paper-on"}[r.sig.lacks]
					return
				}
				role := r.signed.Signatures().Pad.Role
				r.signed.Sign(r.preview.shown, now())
				r.notice = r.t("page.sign.taken", "Name", r.t(roleWord(role)))
				r.focus = "unsign-" + role
			}),
			r.button("sign-cancel", "quiet", r.t("page.sign.cancel"), func() {
				role := r.signed.Signatures().Pad.Role
				r.signed.ClosePad()
				r.sig.lacks = ""
				r.focus = "sign-" + role
			}),
		))
	return el("div").ID("sign-form").Class("notice").Role("group").Aria("label", name).Body(body...)
}

// pad is a field to draw in.
func (r *Root) pad(p state.Pad, name string) app.UI {
	stroke, scope := r.on("sign-pad", func(app.Context, app.Event) {
		for {
			text := app.Window().Get("plainleafPad").Call("take").String()
			if text == "" {
				return
			}
			var line []int
			if json.Unmarshal([]byte(text), &line) == nil && !r.signed.Stroke(line) {
				r.notice = r.t("page.sign.full")
			}
		}
	})
	return box("div", "pad",
		say("p", "hint", r.t("page.sign.pad-hint")),
		svg("svg").ID("sign-pad").DataSet("pad", p.Role).DataSet("width", state.PadWidth).DataSet("height", state.PadHeight).
			Attr("viewBox", fmt.Sprintf("0 0 %d %d", state.PadWidth, state.PadHeight)).
			Attr("role", "img").Attr("aria-label", r.n("page.sign.pad", len(p.Strokes), "Name", name)).
			On("stroke", stroke, scope).
			Body(
				svg("line").Attr("class", "rule").Attr("x1", 300).Attr("x2", state.PadWidth-300).Attr("y1", 1550).Attr("y2", 1550),
				svg("path").Attr("class", "drawn").Attr("d", pathOf(p.Strokes)),
				svg("path").Attr("class", "live"),
			),
		r.button("sign-clear", "second", r.t("page.sign.clear"), func() {
			r.signed.EditPad(func(p *state.Pad) { p.Strokes = nil })
		}),
	)
}

// otherSigner lets somebody sign whom the case does not name.
func (r *Root) otherSigner() app.UI {
	roles := r.signed.Others()
	if len(roles) == 0 || r.signed.Signatures().Pad != nil {
		return none()
	}
	list := []option{{"", r.t("page.sign.other-none")}}
	for _, role := range roles {
		list = append(list, option{role, r.t(roleWord(role))})
	}
	return r.choice("sign-other", r.t("page.sign.other"), "", list, nil, func(v string) {
		if v != "" {
			r.signed.OpenPad(v)
			r.focus = "sign-way-drawn"
		}
	})
}

// asideNotice tells of what was signed or decided for a sheet that has changed.
func (r *Root) asideNotice() app.UI {
	given, decided := r.signed.Aside(r.preview.shown)
	if len(given) == 0 && len(decided) == 0 {
		return none()
	}
	var lines []string
	for _, d := range decided {
		date, clock := moment(r.lang(), d.At)
		lines = append(lines, r.t("page.sign.aside-answer", "Text", r.t("page.sign.what."+d.What), "Date", date, "Time", clock))
	}
	for _, g := range given {
		lines = append(lines, r.t("page.sign.aside-by", "Name", r.t(roleWord(g.By.Role)), "Text", r.signedBy(r.words, g.By)))
	}
	return el("div").ID("aside").Class("notice").Role("status").Body(
		say("strong", "", r.t("page.sign.aside")),
		say("p", "", r.t("page.sign.aside-about")),
		box("ul", "plain", each(len(lines), func(i int) app.UI { return say("li", "", lines[i]) })),
		r.button("aside-drop", "quiet", r.t("page.sign.aside-drop"), func() {
			r.signed.DropAside(r.preview.shown)
			r.focus = "signing-head"
		}))
}

// setAside reports whether the last step set signatures aside; for the status line.
func (r *Root) setAside() bool {
	if len(r.signed.Signatures().Given) == 0 || !r.d.Paper().ToSign() {
		r.sig.aside = 0
		return false
	}
	r.make()
	if r.preview.shown == "" {
		return false
	}
	given, _ := r.signed.Aside(r.preview.shown)
	before := r.sig.aside
	r.sig.aside = len(given)
	return r.sig.aside > before
}

// signedBy tells in words who signed, how and when.
func (r *Root) signedBy(w *i18n.Wording, s record.Signature) string {
	id := "page.sign.said." + s.Way
	date, clock := moment(w.Language(), s.At)
	if s.Way == "paper" && s.PaperOn.Exists() {
		date, _ = w.Language().Date(s.PaperOn.Year, s.PaperOn.Month, s.PaperOn.Day)
	}
	if s.Name == "" && (s.Way == "drawn" || s.Way == "paper") {
		id += "-nameless"
	}
	args := map[string]string{}
	for _, name := range w.Placeholders(id) {
		args[name] = map[string]string{"Name": s.Name, "Date": date, "Time": clock, "Text": s.Paper}[name]
	}
	text, err := w.Text(id, args, "")
	if err != nil {
		return "[" + id + "]"
	}
	return text
}

// printed is what stands on the lines of the sheet, in the sheet's language.
func (r *Root) printed(shown, locale string) []printout.Signed {
	w, faults := r.practiceWording(locale)
	if len(faults) > 0 {
		return nil
	}
	word := func(id string) string {
		s, err := w.Text(id, nil, "")
		if err != nil {
			return ""
		}
		return s
	}
	var out []printout.Signed
	if d := r.signed.Decision(shown); d.What != "" {
		date, clock := moment(w.Language(), d.At)
		out = append(out, printout.Signed{Line: "sheet.sign.decision-yes", Label: word("page.sign.decision"),
			Text: word("page.sign.what."+d.What) + " · " + date + ", " + clock})
	}
	for _, g := range r.signed.Here(shown, true) {
		s := g.By
		out = append(out, printout.Signed{Line: lineOf(s.Role), Label: word(roleWord(s.Role)), Text: r.signedBy(w, s),
			Width: s.Width, Height: s.Height, Strokes: s.Strokes})
	}
	return out
}

// lineOf is the line of the sheet on which a role signs; a role without one gets a
// line of its own.
func lineOf(role string) string {
	switch role {
	case "parent", "guardian", "representative":
		return "sheet.sign.for-patient"
	case "witness":
		return ""
	}
	return "sheet.sign." + role
}

// ink draws what was drawn; nothing for a signature without lines.
func ink(s record.Signature) app.UI {
	if len(s.Strokes) == 0 || s.Width < 1 || s.Height < 1 {
		return none()
	}
	return svg("svg").Attr("class", "ink").Attr("viewBox", fmt.Sprintf("0 0 %d %d", s.Width, s.Height)).
		Attr("aria-hidden", "true").Body(svg("path").Attr("d", pathOf(s.Strokes)).Attr("stroke-width", max(1, s.Height/45)))
}

// pathOf writes lines as an SVG path; a line of one point is a dot.
func pathOf(lines [][]int) string {
	var b strings.Builder
	for _, l := range lines {
		for i := 0; i+1 < len(l); i += 2 {
			if i == 0 {
				b.WriteByte('M')
			} else {
				b.WriteByte('L')
			}
			b.WriteString(strconv.Itoa(l[i]) + " " + strconv.Itoa(l[i+1]))
		}
		if len(l) == 2 {
			b.WriteString("L" + strconv.Itoa(l[0]) + " " + strconv.Itoa(l[1]))
		}
	}
	return b.String()
}

// purposes are what a record of a consent sheet may be for.
var purposes = []record.Kind{"", record.Superseding, record.Withdrawal}

func (r *Root) purposePick() app.UI {
	if len(r.signed.Signatures().Sealed) == 0 && r.signed.Signatures().Purpose == "" && r.signed.Signatures().From == nil && !r.sig.purpose {
		return box("p", "", r.button("purpose-open", "quiet", r.t("page.seal.purpose-open"), func() {
			r.sig.purpose = true
			r.focus = "purpose-"
		}))
	}
	var list []option
	for _, p := range purposes {
		list = append(list, option{string(p), r.t("page.seal.purpose." + cmp.Or(string(p), "consent"))})
	}
	return r.pick("purpose", r.t("page.seal.purpose"), string(r.signed.Signatures().Purpose), list, nil, func(v string) {
		if slices.Contains(purposes, record.Kind(v)) {
			r.signed.SetPurpose(record.Kind(v))
		}
	})
}

// lacking says what the signature being given lacks.
func (r *Root) lacking() string {
	if r.sig.lacks == "date" {
		return r.t("page.sign.lacks.date", "Date", today().String())
	}
	return r.t("page.sign.lacks." + r.sig.lacks)
}
