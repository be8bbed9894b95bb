package page

import (
	"encoding/base32"
	"fmt"
	"slices"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/email"
	"plainleaf/app/fault"
	"plainleaf/app/handover"
	"plainleaf/app/order"
	"plainleaf/app/place"
	"plainleaf/app/plan"
	"plainleaf/app/printout"
	"plainleaf/app/produce"
	"plainleaf/app/render"
	"plainleaf/app/screens/state"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// taking is what the patient takes home of the sheet on the screen.
type taking struct {
	epoch int    // of the patient the rest belongs to
	to    string // recipient of a mail; never kept
	share string // whether this browser shares files: "", no or yes
	basis string // what the rest was made of
	sums  dateSums
	rows  []string // ids of the rows of visits, in their order on the screen
	// faults keep the calendar from being made, codeFaults the code.
	faults, codeFaults fault.List
	address            string // where the code leads
	base               string // typed and not in use yet
	baseFaults         fault.List
	code               handover.Code
}

// dateSums counts what a calendar file would hold.
type dateSums struct{ firm, planned, withdrawn int }

// input is what the sheet on the screen is made of.
func (r *Root) input() produce.Input {
	return produce.Input{
		Case: r.d.Case(), Practice: r.office.File(), Base: r.d.Base(), Kind: r.d.Paper().Print().Kind,
		Locale: r.d.Case().Locale, Second: r.d.Case().Second,
		Wording: r.practiceWording,
		States:  func(tag string) map[string]i18n.State { return r.known(tag).states },
		Offset: func(zone string, unix int64) (int, bool) {
			v := app.Window().Get("plainleafKeep").Call("offset", zone, float64(unix))
			if v.IsNull() {
				return 0, false
			}
			return v.Int(), true
		},
	}
}

// takeHome is the end of the sheets screen: agreed days, calendar, mail, code.
func (r *Root) takeHome() app.UI {
	p := r.d.Plan()
	if p == nil {
		return part("take", r.t("page.take.title"), say("p", "", r.t("page.take.waits")))
	}
	r.reckon(p)
	return box("div", "",
		r.agreedPart(),
		part("take", r.t("page.take.title"),
			r.calendarBox(),
			r.mailBox(),
			r.codeBox(),
		),
	)
}

// reckon makes anew what the section shows when anything has changed since.
func (r *Root) reckon(p *plan.Plan) {
	k := &r.home
	if k.epoch != r.epoch {
		*k = taking{epoch: r.epoch, share: k.share}
	}
	now := fmt.Sprint(r.signed.Edits(), r.office.Set(), r.lang().Tag)
	if k.basis == now {
		return
	}
	k.basis = now
	k.sums, k.address, k.code, k.codeFaults = dateSums{}, "", handover.Code{}, nil
	in := r.input()
	c, faults := produce.Dates(in, *p)
	k.faults = faults
	for _, e := range c.Events {
		switch {
		case e.Withdrawn:
			k.sums.withdrawn++
		case e.Tentative:
			k.sums.planned++
		default:
			k.sums.firm++
		}
	}
	if in.Kind != sheet.Aftercare {
		return
	}
	if k.address, k.codeFaults = produce.Handover(in, *p); k.address != "" {
		k.code, k.codeFaults = handover.Draw(k.address)
	}
}

// agreedPart is where the practice notes the days it has agreed on.
func (r *Root) agreedPart() app.UI {
	visits := r.d.Visits().List()
	if len(visits) == 0 {
		return none()
	}
	// While one stays on the screen a row keeps its place, whatever day is typed
	// into it: the field would move away under the finger.
	row := func(v state.Visit) int { return slices.Index(r.home.rows, agreedID(v)) }
	if !slices.ContainsFunc(visits, func(v state.Visit) bool { return row(v) < 0 }) {
		order.By(visits, func(a, b state.Visit) int { return row(a) - row(b) })
	}
	r.home.rows = nil
	for _, v := range visits {
		r.home.rows = append(r.home.rows, agreedID(v))
	}
	return part("agreed", r.t("page.agreed.title"),
		say("p", "hint", r.t("page.agreed.about")),
		el("ul").ID("agreed-list").Class("plain rows").Body(each(len(visits), func(i int) app.UI { return r.agreedRow(visits[i]) })),
		r.faults("agreed-fault", r.home.faults),
	)
}

func agreedID(v state.Visit) string { return fmt.Sprintf("agreed-%s-%d", v.Key, v.Number) }

func (r *Root) agreedRow(v state.Visit) app.UI {
	id := agreedID(v)
	name := v.Key
	if v.Purpose != "" {
		name = r.t(r.visitID(v.Purpose))
	}
	if v.Of > 1 {
		name = r.t("page.agreed.nth", "Text", name, "Number", r.number(float64(v.Nth), 0), "Total", r.number(float64(v.Of), 0))
	}
	out := r.button(id+"-out", "quiet", r.t("page.agreed.out"), func() {
		r.d.Visits().Disagree(v.Key, v.Number)
		r.focus = id + "-set"
	}).Aria("label", r.t("page.agreed.out-of", "Text", name))
	row := el("li").DataSet("visit", v.Key)
	switch {
	case v.Agreed == nil:
		return row.Body(
			say("strong", "", name),
			box("div", "chips",
				say("span", "hint", r.t("page.agreed.planned", "Date", r.date(v.Likely))),
				r.button(id+"-set", "second", r.t("page.agreed.set"), func() {
					r.d.Visits().Agree(v.Key, v.Number, v.Likely)
					r.focus = id + "-date"
				}).Aria("label", r.t("page.agreed.set-of", "Text", name)),
			))
	case v.Likely.IsZero():
		return row.Body(say("p", "firm", r.t("page.agreed.gone", "Text", name)), out)
	}
	field := func(key, label, hint, value string, set func(string)) app.UI {
		path := state.AgreedPath(v.Key, v.Number, key)
		return r.entry(id+"-"+key, "text", label, hint, r.d.Typed(path, value), r.d.FaultsAt(path), set)
	}
	return row.Body(
		say("strong", "", name),
		el("div").Class("row span").Role("group").Aria("label", name).Body(
			field("date", r.t("page.agreed.date"), r.t("page.date.hint", "Code", v.Likely.String()), v.Agreed.Date.String(),
				func(s string) { r.d.Visits().SetDate(v.Key, v.Number, s) }),
			field("time", r.t("page.agreed.time"), r.t("page.agreed.time-hint", "Code", "14:30"), string(v.Agreed.Time),
				func(s string) { r.d.Visits().SetTime(v.Key, v.Number, s) }),
			out,
		),
		el("div").Role("status").Body(
			say("p", "firm", r.agreedDay(v.Agreed.Date, v.Agreed.Time)),
			each(len(v.Against), func(i int) app.UI {
				return el("p").Class("firm").DataSet("conflict", v.Against[i].Kind).Text(r.conflict(v.Against[i]))
			}),
			app.If(v.Agreed.Date.Before(r.d.Case().Issued), func() app.UI { return say("p", "hint", r.t("page.agreed.past")) }),
		),
	)
}

// conflict tells the practice what speaks against an agreed day.
func (r *Root) conflict(x plan.Conflict) string {
	if x.Date.IsZero() {
		return r.t("page.agreed." + x.Kind)
	}
	return r.t("page.agreed."+x.Kind, "Date", r.date(x.Date))
}

// agreedDay is a day with its hour, where one is agreed.
func (r *Root) agreedDay(d casefile.Date, at casefile.Time) string {
	if !at.Valid() {
		return r.date(d)
	}
	clock, _ := r.lang().Clock(at.Split())
	return r.t("sheet.schedule.on-at", "Date", r.date(d), "Time", clock)
}

func (r *Root) calendarBox() app.UI {
	s := r.home.sums
	var lines []string
	for _, x := range []struct {
		id string
		n  int
	}{{"page.take.firm", s.firm}, {"page.take.planned", s.planned}, {"page.take.withdrawn", s.withdrawn}} {
		if x.n > 0 {
			lines = append(lines, r.n(x.id, x.n))
		}
	}
	body := []app.UI{say("h3", "", r.t("page.take.calendar-title")), say("p", "hint", r.t("page.take.calendar-about"))}
	switch {
	case len(r.home.faults) > 0:
		body = append(body, r.faults("calendar-fault", r.home.faults))
	case len(lines) == 0:
		body = append(body, el("p").ID("calendar-none").Text(r.t("page.take.calendar-none")))
	default:
		body = append(body,
			el("ul").ID("calendar-holds").Class("plain").Body(each(len(lines), func(i int) app.UI { return say("li", "", lines[i]) })),
			box("div", "chips", r.button("save-ics", "second", r.t("page.take.calendar"), r.saveCalendar)))
	}
	return el("div").ID("take-calendar").Class("home").Body(body...)
}

// tongues are empty documents in the languages of the sheet, for the words around it.
func (r *Root) tongues() []render.Doc {
	var out []render.Doc
	c := r.d.Case()
	for _, tag := range []string{c.Locale, produce.Beside(r.office.File(), r.d.Paper().Print().Kind, c.Locale, c.Second)} {
		if l, ok := place.Find(tag); ok {
			out = append(out, render.Doc{Locale: l.Tag, Lang: l.Tag, Dir: l.Dir})
		}
	}
	return out
}

// named gives the dates of a case without an id one that says nothing, so that
// later files can replace or withdraw those of earlier ones.
func (r *Root) named() {
	if r.d.Case().ID != "" || r.d.Case().Calendar != nil {
		return
	}
	raw := app.Window().Get("Uint8Array").New(5)
	app.Window().Get("crypto").Call("getRandomValues", raw)
	b := make([]byte, 5)
	app.CopyBytesToGo(b, raw)
	s := base32.StdEncoding.EncodeToString(b)
	r.d.Paper().HandOutCalendar(&casefile.Calendar{ID: s, Given: []casefile.GivenEvent{}})
}

func (r *Root) saveCalendar() {
	r.named()
	p := r.d.Plan()
	if p == nil {
		return
	}
	in, docs := r.input(), r.tongues()
	data, faults := produce.Calendar(in, *p, docs)
	if len(faults) > 0 {
		r.home.faults = faults
		return
	}
	name := produce.Name(in, docs, "calendar.file", ".ics")
	save(name, "text/calendar;charset=utf-8", data)
	r.gaveDates(in, *p)
	r.notice = r.t("page.file.saved", "File", name)
}

// gaveDates keeps in the case what a calendar that left the program holds.
func (r *Root) gaveDates(in produce.Input, p plan.Plan) {
	r.d.Paper().HandOutCalendar(produce.GivenOut(in, p))
}

// mailBox offers the ready draft, what the device shares, and a short mail.
func (r *Root) mailBox() app.UI {
	if r.preview.html == "" {
		return none()
	}
	faults := email.Address("to", r.home.to)
	link, _ := produce.Mailto(r.input(), r.tongues(), r.home.to)
	return el("div").ID("take-mail").Class("home").Body(
		say("h3", "", r.t("page.take.mail-title")),
		el("p").ID("mail-permission").Class("firm").Text(r.t("page.take.permission")),
		say("p", "hint", r.t("page.take.mail-about")),
		r.entry("mail-to", "email", r.t("page.take.to"), r.t("page.take.to-hint"), r.home.to, faults, func(v string) { r.home.to = strings.TrimSpace(v) }),
		box("div", "chips",
			r.button("save-eml", "second", r.t("page.take.mail"), func() {
				if len(email.Address("to", r.home.to)) > 0 {
					r.focus = "mail-to"
					return
				}
				r.saveMail()
			}).Aria("describedby", "mail-permission"),
			app.If(r.shares(), func() app.UI {
				return r.button("share", "second", r.t("page.take.share"), r.shareFiles).Aria("describedby", "mail-permission")
			}),
			app.If(link != "", func() app.UI {
				return r.button("mailto", "quiet", r.t("page.take.mailto"), func() {
					if link, faults := produce.Mailto(r.input(), r.tongues(), r.home.to); len(faults) == 0 {
						app.Window().Get("location").Set("href", link)
					}
				}).DataSet("mailto", link).Aria("describedby", "mailto-about")
			}),
		),
		el("p").ID("mailto-about").Class("hint").Text(r.t("page.take.mailto-about")),
	)
}

// carried makes the files that leave by mail or sharing. They never say who the
// patient is.
func (r *Root) carried() (produce.Input, plan.Plan, []render.Doc, produce.Parts, fault.List) {
	r.named()
	in := r.input()
	docs, pl, faults := produce.Docs(in)
	if len(faults) > 0 {
		return in, pl, docs, produce.Parts{}, faults
	}
	o := r.printOptions()
	o.Identifiers = printout.Identifiers{}
	parts, faults := produce.Attachments(in, pl, docs, o)
	return in, pl, docs, parts, faults
}

// left notes what went out with a mail or a share.
func (r *Root) left(in produce.Input, pl plan.Plan, parts produce.Parts) {
	r.handOut()
	if parts.Calendar != nil {
		r.gaveDates(in, pl)
	}
}

func (r *Root) saveMail() {
	in, pl, docs, parts, faults := r.carried()
	var data []byte
	if len(faults) == 0 {
		data, faults = produce.Mail(in, docs, parts, r.home.to)
	}
	if len(faults) > 0 {
		r.notice = r.faultText(faults[0])
		return
	}
	name := produce.Name(in, docs, "mail.file", ".eml")
	save(name, email.MediaType, data)
	r.left(in, pl, parts)
	r.notice = r.t("page.file.saved", "File", name)
}

// shares reports whether this browser shares files such as the sheet.
func (r *Root) shares() bool {
	if r.home.share == "" {
		r.home.share = "no"
		if canShare(fileList(file{"papers.html", "text/html", nil})) {
			r.home.share = "yes"
		}
	}
	return r.home.share == "yes"
}

type file struct {
	name, kind string
	data       []byte
}

// fileList makes files of the browser.
func fileList(files ...file) app.Value {
	w := app.Window()
	list := w.Get("Array").New()
	for _, f := range files {
		bytes := w.Get("Uint8Array").New(len(f.data))
		app.CopyBytesToJS(bytes, f.data)
		pieces := w.Get("Array").New()
		pieces.Call("push", bytes)
		opts := w.Get("Object").New()
		opts.Set("type", f.kind)
		list.Call("push", w.Get("File").New(pieces, f.name, opts))
	}
	return list
}

func canShare(files app.Value) bool {
	nav := app.Window().Get("navigator")
	if !nav.Get("share").Truthy() || !nav.Get("canShare").Truthy() {
		return false
	}
	what := app.Window().Get("Object").New()
	what.Set("files", files)
	return nav.Call("canShare", what).Bool()
}

// shareFiles hands the sheet, and its dates where the browser takes such a file,
// to the device. Whom they go to is the user's own act; giving up is none.
func (r *Root) shareFiles() {
	in, pl, docs, parts, faults := r.carried()
	if len(faults) > 0 {
		r.notice = r.faultText(faults[0])
		return
	}
	page := file{produce.Name(in, docs, "mail.file", ".html"), "text/html", parts.HTML}
	files := fileList(page)
	if parts.Calendar != nil {
		both := fileList(page, file{produce.Name(in, docs, "calendar.file", ".ics"), "text/calendar", parts.Calendar})
		if canShare(both) {
			files = both
		} else {
			parts.Calendar = nil
		}
	}
	what := app.Window().Get("Object").New()
	what.Set("files", files)
	what.Set("title", r.t("mail.subject"))
	r.await(app.Window().Get("navigator").Call("share", what), func(_ string, err error) {
		switch {
		case err == nil:
			r.left(in, pl, parts)
		case !strings.HasPrefix(err.Error(), "AbortError"):
			r.notice = r.t("page.take.share-failed")
		}
	})
}

// codeBox shows the code that opens the aftercare on a phone.
func (r *Root) codeBox() app.UI {
	body := []app.UI{say("h3", "", r.t("page.take.code-title"))}
	switch k := &r.home; {
	case r.d.Paper().Print().Kind != sheet.Aftercare:
		body = append(body, el("p").ID("code-other").Text(r.t("page.take.code-other")))
	case k.address == "" && len(k.codeFaults) == 0:
		body = append(body, el("p").ID("code-none").Text(r.t("page.take.code-none")), r.baseField())
	case len(k.codeFaults) > 0:
		body = append(body, r.faults("code-fault", k.codeFaults), r.baseField())
	default:
		side := k.code.Size + 2*handover.Quiet
		body = append(body,
			say("p", "hint", r.t("page.take.code-about")),
			svg("svg").ID("code").Attr("class", "qr").Attr("role", "img").Attr("aria-label", r.t("page.take.code-alt")).
				Attr("viewBox", fmt.Sprintf("0 0 %d %d", side, side)).Attr("shape-rendering", "crispEdges").Body(
				svg("rect").Attr("width", side).Attr("height", side).Attr("fill", "#fff"),
				svg("path").Attr("d", k.code.Path()).Attr("fill", "#000"),
			),
			el("details").ID("code-words").Class("drawer").Body(
				say("summary", "", r.t("page.take.code-text")),
				el("p").ID("code-text").Class("address").Dir("ltr").Lang("").Text(k.address),
			),
			box("div", "chips",
				r.button("code-copy", "second", r.t("page.take.code-copy"), func() { r.copy(r.home.address, r.t("page.take.copied"), r.t("page.take.copy-failed")) }),
				r.button("code-save", "second", r.t("page.take.code-save"), func() {
					save("code.svg", "image/svg+xml", r.home.code.SVG(r.t("page.take.code-alt")))
					r.notice = r.t("page.file.saved", "File", "code.svg")
				}),
			),
		)
	}
	return el("div").ID("take-code").Class("home").Body(body...)
}

// baseField is where the practice says at which address the program is hosted.
func (r *Root) baseField() app.UI {
	k := &r.home
	return box("div", "",
		r.entry("base-address", "text", r.t("page.take.base"), r.t("page.take.base-hint"), k.base, k.baseFaults, func(v string) { k.base = strings.TrimSpace(v) }),
		r.button("base-use", "second", r.t("page.take.base-use"), func() {
			k.baseFaults = r.office.BaseFaults(k.base)
			if k.base == "" || len(k.baseFaults) > 0 {
				r.focus = "base-address"
				return
			}
			r.office.SetField("base_address", k.base)
			r.focus = "code-copy"
		}),
	)
}

// copy puts a text on the clipboard, where the browser lets it, and says how it went.
func (r *Root) copy(text, copied, not string) {
	board := app.Window().Get("navigator").Get("clipboard")
	if !board.Truthy() {
		r.notice = not
		return
	}
	r.await(board.Call("writeText", text), func(_ string, err error) {
		r.notice = copied
		if err != nil {
			r.notice = not
		}
	})
}
