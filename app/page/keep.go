package page

import (
	"cmp"
	"encoding/json"
	"maps"
	"strings"
	"unicode/utf8"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/record"
	"plainleaf/app/screens/state"
	"plainleaf/app/strict"
	"plainleaf/i18n/vet"
)

// keepDays are how long a case may be kept on the device, in days.
var keepDays = []int{30, 180, 365}

// keptCase is what may be seen of a kept case without its passphrase.
type keptCase struct {
	ID      string
	Date    string
	Teeth   int
	Expires string
	// What only the device that keeps it can tell.
	keptNote
}

// keptNote is what the practice looks for among the kept cases.
type keptNote struct {
	Label string         `json:"label,omitempty"` // the practice's own, such as a chart number
	Stage casefile.Stage `json:"stage"`
	Next  *nextVisit     `json:"next,omitempty"`
}

// nextVisit is a visit of the plan with its likely day.
type nextVisit struct {
	Purpose string        `json:"purpose"`
	Date    casefile.Date `json:"date"`
}

// labelMax is the longest label of a kept case, in characters.
const labelMax = 60

// reply is what the keeping script answers.
type reply struct {
	OK         bool
	Why        string // insecure, storage, silent, full, memory, elsewhere, wrong, altered, unreadable, newer, gone
	State      string // own, elsewhere
	Settings   string
	Keys       string
	Draft      string
	Locked     *keptCase
	Unreadable bool // there was a draft that could not be read
	Missing    int  // kept cases that the browser has lost
	Memory     bool // an open case cannot be kept
	Old        bool // the draft is under a key of version 1
	Jumped     bool // the device's day is far from the last one it was used on
	Last       string
	Text       string
	ID         string
	Recovery   string
	Label      string
	List       []keptCase // nil when the list has not changed
}

// keeping is how the open case is kept.
type keeping struct {
	state   string // own, elsewhere, none; "" until the browser has answered
	why     string // why nothing can be kept
	unkept  bool   // the last writing failed
	newer   bool   // the settings here are of a newer program and stay as they are
	memory  bool   // an open case is in memory only
	missing int    // kept cases that the browser has lost
	last    string // the day the device was last used on, while its clock is in doubt
	cleared *cleared
	list    []keptCase
	id      string    // of the kept case that is open
	locked  *keptCase // the kept case that was open and waits for its passphrase
	covered bool
	form    string // what a passphrase is asked for: keep, file, file-open or the id of a kept case
	file    string // text of the encrypted file that is being opened
	drop    string // kept case whose deletion has been asked for
	days    int
	label   string // of the case that is open
	busy    bool
	fault   string // message about the passphrase

	recovery   string // shown once
	recoveryID string

	edits, set int // counts of the state when it was last handed over
}

// script calls a function of the keeping script and hands on what it answers.
func (r *Root) script(name string, done func(reply), args ...any) {
	r.await(app.Window().Get("plainleafKeep").Call(name, args...), func(text string, err error) {
		var a reply
		if err == nil {
			err = json.Unmarshal([]byte(text), &a)
		}
		if err != nil {
			a = reply{Why: "storage"}
		}
		if a.List != nil {
			r.k.list = a.List
		}
		if done != nil {
			done(a)
		}
	})
}

// resume asks the browser for what was kept before anything is shown, so that
// nothing entered meanwhile can be overwritten.
func (r *Root) resume() {
	r.k.days = keepDays[1]
	normal := app.Window().Get("String").Get("prototype").Get("normalize")
	vet.IsNFC = func(s string) bool { return normal.Call("call", s, "NFC").String() == s }
	script := app.Window().Get("plainleafKeep")
	give := app.FuncOf(func(_ app.Value, args []app.Value) any { return r.give(args[0].String()) })
	hear := app.FuncOf(func(_ app.Value, args []app.Value) any {
		name, text := args[0].String(), args[1].String()
		if name == "kept" && !r.k.unkept {
			return nil // the usual case shows nothing
		}
		r.later(func() { r.hear(name, text) })
		return nil
	})
	r.office.SetZones(func(name string) bool { return script.Call("zone", name).Bool() })
	r.script("start", func(a reply) {
		r.k.state, r.k.why = a.State, ""
		if !a.OK {
			r.k.state, r.k.why = "none", a.Why
		}
		if r.k.newer = state.NewerSettings(a.Settings); r.k.newer {
			r.notice = r.t("page.keep.settings-newer")
		} else if a.Settings != "" && !r.takeSettings(a.Settings) {
			r.notice = r.t("page.keep.settings-lost")
		}
		r.k.set = r.office.Set()
		if a.Keys != "" && !r.signed.Ring().Take(a.Keys) {
			r.notice = r.t("page.ring.lost")
		}
		r.idle()
		r.k.missing = a.Missing
		if a.Jumped {
			r.k.last = a.Last
		}
		r.bringBack(a)
		if _, passed := r.passed(); len(passed) > 0 {
			r.notice = follow(r.notice, r.n("page.keep.passed", len(passed)))
		}
		r.begin()
		r.expectPapers()
	}, give, hear, today().String())
}

// begin is what waits until it is known whether there is an open case.
func (r *Root) begin() {
	if r.ctx.Page().URL().Query().Has("demo") && !r.signed.Started() && r.k.locked == nil {
		r.loadDemo()
	}
}

// takeSettings puts kept settings in place; false when they cannot be read.
func (r *Root) takeSettings(text string) bool {
	if !r.office.TakeSettings(text) {
		return false
	}
	if !r.signed.Signed() {
		r.d.Renumber()
	}
	return true
}

// bringBack opens the draft the browser gave.
func (r *Root) bringBack(a reply) {
	r.k.locked, r.k.memory = a.Locked, a.Memory
	switch {
	case a.Locked != nil:
		r.k.fault = ""
		r.focus = "cover-phrase"
	case state.Newer(a.Draft, state.DraftVersion):
		// Written over it would be lost, so nothing is kept from this window.
		r.script("leave", nil)
		r.k.state, r.k.why = "none", "newer-open"
	case a.Unreadable, a.Draft != "" && !r.desk.Restore(a.Draft):
		r.notice = r.t("page.keep.lost")
	case a.Draft != "":
		r.notice = follow(r.t("page.keep.back"), r.parked())
		r.moveTopics()
		r.k.edits = r.signed.Touches()
		if a.Old {
			r.k.edits = -1 // written anew, under a key that can be overwritten
		}
		r.show()
	}
}

// idle tells the browser how long the screen stays open without a touch.
func (r *Root) idle() {
	app.Window().Get("plainleafKeep").Call("idleAfter", r.office.Own().Minutes*60_000)
}

// give is the open case for the browser to keep; id names the kept case it is
// written under, "" the draft, which never says who the patient is. While another case
// is being opened or kept there is nothing to write under its name yet.
func (r *Root) give(id string) string {
	if r.desk == nil || id != "" && id != r.k.id {
		return ""
	}
	text := r.desk.Keep(id != "")
	if id == "" || text == "" {
		return text
	}
	return `{"meta":` + r.meta(0) + `,"text":` + quoted(text) + `}`
}

func quoted(s string) string {
	b, _ := json.Marshal(s)
	return string(b)
}

// meta is what the script writes beside a kept case, and for how many days it
// keeps it; 0 leaves that as it is.
func (r *Root) meta(days int) string {
	b, _ := json.Marshal(struct {
		Date  string `json:"date"`
		Teeth int    `json:"teeth"`
		Days  int    `json:"days,omitempty"`
		keptNote
	}{today().String(), len(r.d.Case().Teeth), days, keptNote{r.k.label, r.d.Stage(), r.nextVisit()}})
	return string(b)
}

// nextVisit is the first visit of the plan that is likely today or later, nil when
// there is none.
func (r *Root) nextVisit() *nextVisit {
	p := r.d.Plan()
	if p == nil {
		return nil
	}
	for _, v := range p.Visits {
		if v.Likely.Exists() && !v.Likely.Before(today()) {
			return &nextVisit{v.Purpose, v.Likely}
		}
	}
	return nil
}

// handOver has what changed since the last step written down.
func (r *Root) handOver() {
	if r.desk == nil || r.k.state == "" || r.k.locked != nil {
		return
	}
	pending := r.pending()
	if n := r.signed.Touches(); n != r.k.edits || !maps.Equal(pending, r.d.Pending()) {
		r.k.edits = n
		r.d.SetPending(pending)
		app.Window().Get("plainleafKeep").Call("touch")
	}
	if n := r.office.Set(); n != r.k.set {
		r.k.set = n
		if r.k.state != "none" && !r.k.newer {
			r.script("set", func(a reply) { r.k.unkept = !a.OK }, r.office.Settings())
		}
	}
}

// pending is what stands in fields whose text is not part of the case until it
// is added.
func (r *Root) pending() map[string]string {
	out := map[string]string{}
	for name, text := range map[string]string{"question": r.draft.question, "changed": r.draft.changed, "step": r.draft.step, "size": r.draft.size, "note": r.draft.note, "fee": r.draft.fee} {
		if text != "" {
			out[name] = text
		}
	}
	if len(r.draft.at) > 0 {
		var list []string
		for _, p := range r.draft.at {
			list = append(list, p.String())
		}
		out["teeth"] = strings.Join(list, " ")
	}
	return out
}

// refill puts what was pending back into its fields.
func (r *Root) refill() {
	p := r.d.Pending()
	r.draft = draft{question: p["question"], changed: p["changed"], step: p["step"], size: p["size"], note: p["note"], fee: p["fee"]}
	for _, s := range strings.Fields(p["teeth"]) {
		if p, err := casefile.ParsePlace(s); err == nil {
			r.draft.at = append(r.draft.at, p)
		}
	}
}

// hear takes what the browser tells by itself.
func (r *Root) hear(name, text string) {
	switch name {
	case "kept":
		r.k.unkept = false
	case "unkept":
		r.k.unkept = true
	case "idle":
		r.cover()
	case "settings":
		// Another window changed the practice, maybe one with a newer program.
		if state.NewerSettings(text) {
			r.k.newer, r.notice = true, r.t("page.keep.settings-newer")
		} else if text != "" && r.takeSettings(text) {
			r.k.set = r.office.Set()
			r.idle()
		}
	case "keys":
		// Another window changed the keys.
		r.signed.Ring().Take(text)
	case "list":
		var list []keptCase
		if json.Unmarshal([]byte(text), &list) == nil {
			r.k.list = list
		}
	case "lost":
		// The case is in another window now; none of it stays in this one.
		r.empty()
		r.k.state = "elsewhere"
		r.notice = r.t("page.keep.moved")
	}
}

// cover hides the screen. It takes nothing away.
func (r *Root) cover() {
	if r.k.covered || r.k.locked != nil || !r.signed.Started() && r.k.recovery == "" && r.k.id == "" && r.check.Name == "" {
		return
	}
	r.k.covered, r.k.fault = true, ""
	r.closeForm()
	r.preview = preview{}
	r.focus = "cover-open"
	if r.k.id != "" {
		r.focus = "cover-phrase"
	}
}

func (r *Root) uncover() {
	r.k.covered, r.k.fault = false, ""
	r.focus = "head"
}

// field reads a passphrase field. What it contains is never kept in the state.
func field(id string) string {
	e := app.Window().Get("document").Call("getElementById", id)
	if !e.Truthy() {
		return ""
	}
	return e.Get("value").String()
}

func wipe(ids ...string) {
	for _, id := range ids {
		if e := app.Window().Get("document").Call("getElementById", id); e.Truthy() {
			e.Set("value", "")
		}
	}
}

// whys are the messages about what could not be done, by the script's one word.
var whys = map[string]string{
	"insecure":   "page.keep.insecure",
	"storage":    "page.keep.storage",
	"silent":     "page.keep.silent",
	"full":       "page.keep.full",
	"elsewhere":  "page.keep.elsewhere",
	"wrong":      "page.keep.wrong",
	"altered":    "page.keep.altered",
	"unreadable": "page.keep.unreadable",
	"gone":       "page.keep.gone",
	"newer":      "page.keep.newer",
	"newer-open": "page.keep.newer-open",
}

func whyWord(why string) string { return cmp.Or(whys[why], "page.keep.storage") }

// curtain is what stands in place of every screen: the cover, or the recovery
// key. nil when the screens may be seen.
func (r *Root) curtain() []app.UI {
	switch {
	case r.k.cleared != nil:
		return r.clearedPage()
	case r.k.locked != nil:
		c := *r.k.locked
		return r.shut(r.t("page.keep.locked.title"), r.t("page.keep.locked.about", "Code", c.ID),
			func() {
				r.script("open", func(a reply) {
					r.unlocked(a, "cover-phrase", func() {
						r.k.locked = nil
						r.openedKept(a)
					})
				}, c.ID, field("cover-phrase"))
			},
			r.button("cover-shut", "quiet", r.t("page.keep.locked.shut"), func() {
				r.script("shut", func(reply) {
					r.k.locked = nil
					r.k.edits = r.signed.Touches()
					r.focus = "head"
					r.begin()
				})
			}))
	case r.k.covered && r.k.id != "":
		return r.shut(r.t("page.cover.title"), r.t("page.cover.phrase"), func() {
			r.script("check", func(a reply) { r.unlocked(a, "cover-phrase", r.uncover) }, field("cover-phrase"))
		})
	case r.k.covered:
		return []app.UI{
			el("h1").ID("head").TabIndex(-1).Text(r.t("page.cover.title")),
			r.button("cover-open", "cover-open", r.t("page.cover.open"), r.uncover),
			say("p", "", r.t("page.cover.about")),
		}
	case r.k.recovery != "":
		return r.recoveryPage()
	}
	return nil
}

// shut is a cover that asks for a passphrase.
func (r *Root) shut(title, about string, act func(), more ...app.UI) []app.UI {
	return []app.UI{
		el("h1").ID("head").TabIndex(-1).Text(title),
		say("p", "", about),
		r.phrase("cover-phrase", r.t("page.keep.either"), r.t("page.keep.either-hint"), r.k.fault, act),
		box("div", "chips", append([]app.UI{
			r.working(r.button("cover-go", "", r.t("page.cover.go"), func() { r.work(act) })),
		}, more...)...),
	}
}

// phrase is a field for a secret. What is typed stays in the field alone.
func (r *Root) phrase(id, label, hint, fault string, act func()) app.UI {
	key, scope := r.on(id, func(_ app.Context, e app.Event) {
		if act != nil && e.Get("key").String() == "Enter" {
			e.PreventDefault()
			r.work(act)
		}
	})
	f := el("input").ID(id).Attr("type", "password").Attr("autocomplete", "off").Spellcheck(false).Attr("autocapitalize", "none").
		OnKeyDown(key, scope)
	f = described(f, id, hint != "", fault != "")
	return box("div", "field",
		el("label").Attr("for", id).Text(label),
		app.If(hint != "", func() app.UI { return el("p").ID(id + "-hint").Class("hint").Text(hint) }),
		f,
		app.If(fault != "", func() app.UI {
			return el("div").Role("alert").Body(el("ul").ID(id + "-fault").Class("faults").Body(say("li", "", fault)))
		}),
	)
}

// work does something that takes a moment, once at a time.
func (r *Root) work(act func()) {
	if r.k.busy {
		return
	}
	r.k.busy, r.k.fault = true, ""
	act()
}

// working dims a button while something is being done.
func (r *Root) working(b app.HTMLElem) app.UI {
	if r.k.busy {
		b = b.Aria("disabled", "true")
	}
	return b
}

// unlocked ends a try with a passphrase: open goes on when it was right.
func (r *Root) unlocked(a reply, id string, open func()) {
	r.k.busy = false
	if !a.OK {
		r.k.fault = r.t(whyWord(a.Why))
		r.focus = id
		return
	}
	wipe(id)
	open()
}

// openedKept puts a kept case on the screen.
func (r *Root) openedKept(a reply) {
	if !r.desk.Restore(a.Text) {
		r.script("loose", nil)
		r.notice = r.t(unread(a.Text))
		return
	}
	r.k.id, r.k.label = a.ID, a.Label
	r.closeForm()
	r.show()
	r.notice = follow(r.t("page.keep.opened", "Code", a.ID), r.parked())
	r.focus = "head"
}

// unread is the message about the text of a case that cannot be opened.
func unread(text string) string {
	if state.Newer(text, state.DraftVersion) {
		return whyWord("newer")
	}
	return whyWord("unreadable")
}

// show draws the screen anew for a case that was brought back.
func (r *Root) show() {
	r.opened()
	r.refill()
}

func (r *Root) closeForm() {
	wipe("keep-phrase", "keep-again", "open-phrase")
	r.k.form, r.k.file, r.k.drop, r.k.fault = "", "", "", ""
}

// empty takes the open case off this window, without touching what is kept.
func (r *Root) empty() {
	r.desk.Clear()
	r.closeForm()
	r.k.id, r.k.label, r.k.covered, r.k.locked, r.k.busy = "", "", false, nil, false
	r.k.recovery, r.k.recoveryID = "", ""
	r.k.edits = r.signed.Touches()
	r.epoch++
	r.confirm, r.open, r.trouble, r.reveal, r.span = false, "", false, "", span{}
	r.updated, r.walked, r.draft = nil, false, draft{}
	r.sig, r.check, r.checked = sealing{}, state.Checked{}, checking{}
	r.closeRing()
	r.at = 11
	r.preview = preview{}
}

// replaceable reports whether another case may take the place of the open one.
// What was signed has to be in the patient's record first.
func (r *Root) replaceable() bool {
	if r.d.Paper().Handed() || r.signed.Unsealed() {
		r.notice = r.t("page.clear.first")
		r.focus = "clear"
		return false
	}
	return true
}

// loosen makes the case on the screen one that is not kept, since another one was
// put in place of it.
func (r *Root) loosen() {
	r.k.id, r.k.label = "", ""
	r.script("loose", nil)
}

// sealed reports whether the text of a file is that of an encrypted case.
func sealed(text string) bool {
	var e struct{ Format string }
	return len(text) <= strict.MaxBytes && json.Unmarshal([]byte(text), &e) == nil && e.Format == "plainleaf-kept"
}

// openSealed asks for the passphrase of an encrypted file.
func (r *Root) openSealed(text string) {
	r.closeForm()
	r.k.form, r.k.file = "file-open", text
	r.focus = "open-phrase"
}

// unseal tries a passphrase on the kept case or the file that was chosen.
func (r *Root) unseal() {
	if r.k.form == "file-open" {
		r.script("openFile", func(a reply) {
			r.unlocked(a, "open-phrase", func() {
				if !r.desk.Restore(a.Text) {
					r.k.fault = r.t(unread(a.Text))
					return
				}
				r.loosen()
				r.k.label = a.Label
				r.closeForm()
				r.show()
				r.notice = follow(r.t("page.keep.opened", "Code", a.ID), r.parked())
				r.focus = "head"
				r.toSitting()
			})
		}, r.k.file, field("open-phrase"))
		return
	}
	r.script("open", func(a reply) {
		r.unlocked(a, "open-phrase", func() { r.openedKept(a); r.toSitting() })
	}, r.k.form, field("open-phrase"))
}

// phraseFault says what is wrong with a new passphrase of at least least
// characters, "" when nothing is.
func (r *Root) phraseFault(phrase, again string, least int) string {
	switch {
	case utf8.RuneCountInString(strings.TrimSpace(phrase)) < least:
		return r.n("page.keep.short", least)
	case phrase != again:
		return r.t("page.keep.differ")
	}
	return ""
}

// seal keeps the open case, or saves it as an encrypted file.
func (r *Root) seal() {
	phrase, again := field("keep-phrase"), field("keep-again")
	if r.k.fault = r.phraseFault(phrase, again, record.MinPassphrase); r.k.fault != "" {
		r.k.busy = false
		r.focus = "keep-phrase"
		return
	}
	name := "keep"
	if r.k.form == "file" {
		name = "file"
	}
	r.script(name, func(a reply) {
		r.unlocked(a, "keep-phrase", func() {
			r.closeForm()
			r.k.recovery, r.k.recoveryID = a.Recovery, a.ID
			r.focus = "head"
			if name == "file" {
				r.saveSealed(a)
				return
			}
			r.k.id = a.ID
			r.d.SetID(a.ID)
			app.Window().Get("plainleafKeep").Call("touch") // what was typed meanwhile
		})
	}, r.meta(r.k.days), phrase, r.desk.Keep(true))
}

func (r *Root) saveSealed(a reply) {
	file := "case-" + a.ID + ".json"
	save(file, "application/json", []byte(a.Text))
	r.notice = r.t("page.file.saved", "File", file)
}

// recoveryPage shows the recovery key, once.
func (r *Root) recoveryPage() []app.UI {
	var groups []string
	for i := 0; i+4 <= len(r.k.recovery); i += 4 {
		groups = append(groups, r.k.recovery[i:i+4])
	}
	return []app.UI{
		el("h1").ID("head").TabIndex(-1).Text(r.t("page.recovery.title")),
		say("p", "", r.t("page.recovery.about", "Code", r.k.recoveryID)),
		el("p").ID("recovery").Class("recovery").Dir("ltr").Body(
			each(len(groups), func(i int) app.UI { return say("code", "", groups[i]) }),
		),
		say("p", "", r.t("page.recovery.how")),
		say("p", "", r.t("page.recovery.once")),
		box("div", "chips",
			r.button("recovery-print", "second", r.t("page.recovery.print"), func() { app.Window().Call("print") }),
			r.button("recovery-done", "", r.t("page.recovery.done"), func() {
				r.k.recovery, r.k.recoveryID = "", ""
				r.focus = "head"
			}),
		),
	}
}

// handOut notes that what bears signatures was printed or saved.
func (r *Root) handOut() {
	if r.d.Paper().ToSign() {
		r.d.Paper().HandOut()
	}
}
