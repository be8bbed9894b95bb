package page

import (
	"cmp"
	"strings"
	"unicode/utf8"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/produce"
	"plainleaf/app/record"
	"plainleaf/app/render"
	"plainleaf/app/screens/state"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// sealPart makes the sealed record of the sheet as it stands.
func (r *Root) sealPart() app.UI {
	shown := r.preview.shown
	body := []app.UI{say("p", "hint", r.t("page.seal.about"))}
	if s := r.signed.Cover(shown); s != nil {
		body = append(body, r.sealDone(*s))
	} else {
		kind := r.signed.RecordKind(shown)
		body = append(body, el("p").ID("seal-kind").Text(r.t("page.seal.kind", "Kind", r.t("record.kind."+string(kind)))))
		if n := len(r.signed.Signatures().Sealed); n > 0 && r.signed.Signatures().Sealed[n-1].Sheet == r.d.Paper().Print().Kind && !kind.Follows() {
			body = append(body, el("p").ID("seal-stale").Class("notice").Text(r.t("page.seal.stale", "Code", r.signed.Signatures().Sealed[n-1].Code)))
		}
		if kind.Follows() {
			body = append(body, r.earlierPart(shown))
		}
		body = append(body, r.sealForm(shown), r.onPaper(shown))
	}
	body = append(body, el("details").ID("seal-proof").Class("drawer").Body(
		say("summary", "", r.t("page.seal.proof")),
		say("p", "", r.t("page.seal.proof-what")),
		say("p", "", r.t("page.seal.proof-code")),
		say("p", "", r.t("record.limit.date")),
		say("p", "", r.t("record.limit.person")),
		say("p", "", r.t("record.limit.understood")),
		say("p", "", r.t("record.limit.law")),
		box("p", "", el("a").Attr("href", r.link("records")).Text(r.t("page.seal.to-records"))),
	))
	return part("seal", r.t("page.seal.title"), body...)
}

// earlierPart names the record that the next one refers to.
func (r *Root) earlierPart(shown string) app.UI {
	e := r.signed.Earlier(shown)
	text := r.t("page.seal.earlier-none")
	if e != nil {
		text = r.t("page.seal.earlier-is", "Kind", r.t("record.kind."+string(e.Kind)), "Code", e.Code)
	}
	return el("div").ID("earlier").Body(
		el("p").ID("earlier-is").Text(text),
		app.If(e != nil && r.signed.Foreign(*e), func() app.UI {
			return el("p").ID("earlier-foreign").Class("firm").Role("status").Text(r.t("page.seal.earlier-foreign"))
		}),
		box("div", "chips",
			r.opener("earlier-file", r.t("page.seal.earlier-open"), r.openEarlier),
			app.If(r.signed.Signatures().From != nil, func() app.UI {
				return r.button("earlier-drop", "quiet", r.t("page.seal.earlier-drop"), func() { r.signed.SetEarlier(nil) })
			})),
	)
}

// openEarlier takes the record that the next one refers to from a file.
func (r *Root) openEarlier(name, text string) {
	v := record.Verify([]byte(text), nil)
	if v.Integrity != record.Intact || v.Signer == record.Wrong {
		r.notice = r.t("page.seal.earlier-bad", "File", name)
		return
	}
	e := state.Earlier{Kind: record.Kind(v.Record.Kind), Code: v.Code, SHA256: v.SHA256, ID: v.Record.ID}
	e.Issued, _ = casefile.ParseDate(v.Record.Issued)
	if rec, ok := record.Read([]byte(text)); ok && rec.Identifiers != nil {
		e.Who = *rec.Identifiers
	}
	r.signed.SetEarlier(&e)
}

func (r *Root) sealForm(shown string) app.UI {
	own := r.signed.Ring().PrivateFile() != nil
	if r.sig.over != r.signed.Over(shown) {
		r.sig.fault = "" // it has been settled since, or is of another sheet
	}
	return el("div").ID("seal-form").Body(
		app.If(len(r.signed.Here(shown, true)) == 0 && r.signed.SealFault(shown) != "open", func() app.UI { return say("p", "hint", r.t("page.seal.unsigned")) }),
		app.If(own, func() app.UI {
			return box("div", "notice",
				r.phrase("seal-phrase", r.t("page.seal.phrase"), r.t("page.seal.phrase-hint"), r.sig.fault, r.sealNow),
				say("p", "key-id", r.t("page.ring.code", "Code", record.Code(r.signed.Ring().ID()))))
		}),
		app.If(!own, func() app.UI {
			return el("div").ID("seal-keyless").Class("notice").Body(
				say("p", "", r.t("page.seal.keyless")),
				box("p", "", el("a").Attr("href", r.link("records")).Text(r.t("page.seal.make-key"))))
		}),
		app.If(!own && r.sig.fault != "", func() app.UI {
			return el("div").Role("alert").Body(el("ul").ID("seal-fault").Class("faults").Body(say("li", "", r.sig.fault)))
		}),
		box("div", "chips", r.working(r.button("seal-go", "", r.t("page.seal.go"), func() { r.work(r.sealNow) }))),
		app.If(r.k.busy, func() app.UI { return el("p").Role("status").Text(r.t("page.seal.wait")) }),
	)
}

// sealDone shows the code of the record that covers the sheet.
func (r *Root) sealDone(s state.Sealed) app.UI {
	date, clock := moment(r.lang(), s.At)
	return el("div").ID("seal-done").Class("notice").Body(
		el("p").ID("seal-said").Text(r.t("page.seal.done", "Kind", r.t("record.kind."+string(s.Kind)), "Date", date, "Time", clock)),
		say("p", "", r.t("page.seal.code")),
		el("p").ID("seal-code").Class("code").Dir("ltr").Text(s.Code),
		box("div", "chips",
			r.button("seal-print", "", r.t("page.seal.print"), r.print),
			r.button("seal-copy", "second", r.t("page.seal.copy"), func() {
				if s := r.signed.Cover(r.preview.shown); s != nil { // another sheet may be in sight by now
					r.copy(s.Code, r.t("page.seal.copied"), r.t("page.seal.not-copied"))
				}
			}),
			app.If(s.Bytes() != nil, func() app.UI {
				return r.button("seal-save", "second", r.t("page.seal.save"), func() {
					save(s.Name, "application/json", s.Bytes())
					r.notice = r.t("page.file.saved", "File", s.Name)
				})
			}),
		),
		say("p", "", r.t("page.seal.attach", "File", s.Name)),
	)
}

// onPaper notes that the agreement was signed by hand, with its date. The code is the
// one printed on its signature page.
func (r *Root) onPaper(shown string) app.UI {
	if r.d.Paper().Print().Kind != sheet.Consent || r.signed.Decision(shown).What != "" || r.signed.Signatures().Purpose == record.Withdrawal {
		return none()
	}
	if a := r.d.Case().Agreed; a != nil && a.Way == casefile.SignedPaper && !r.d.Case().Withdrawn() {
		return el("p").ID("paper-agreed").Class("notice").Text(r.t("page.signed-paper.done", "Date", r.date(a.Date), "Code", a.Code))
	}
	day, err := casefile.ParseDate(r.sig.paperOn)
	var faults fault.List
	if err != nil && r.sig.paperOn != "" {
		faults.Append(fault.New("PAGE-DATE", "paper", "%q is not a date", r.sig.paperOn).With("Text", r.sig.paperOn))
	}
	form := func() []app.UI {
		return []app.UI{
			say("p", "hint", r.t("page.signed-paper.about")),
			box("div", "row",
				r.dayField("paper-on", r.t("page.signed-paper.on"), r.sig.paperOn, day, faults, func(v string) { r.sig.paperOn = strings.TrimSpace(v) }),
				r.entry("paper-kept", "text", r.t("page.sign.paper"), r.t("page.sign.paper-hint"), r.sig.paperKept, nil, func(v string) { r.sig.paperKept = v })),
			box("div", "chips", r.button("paper-go", "second", r.t("page.signed-paper.go"), func() {
				day, err := casefile.ParseDate(r.sig.paperOn) // as typed by now
				switch {
				case err != nil:
					r.focus = "paper-on"
				case !r.d.Consent().AgreeOnPaper(day, cmp.Or(r.d.Case().ID, "paper-"+day.String()), strings.TrimSpace(r.sig.paperKept)):
					r.notice, r.focus = r.t("page.seal.lacks.open"), "open-points"
				default:
					r.notice, r.focus = r.t("page.signed-paper.done", "Date", r.date(day), "Code", r.d.Case().Agreed.Code), "signing-head"
				}
			}))}
	}
	return r.drawer("paper", "drawer", false, say("summary", "", r.t("page.signed-paper.title")), form)
}

// openPoints lists what keeps the chosen sheet from being signed, each with the way
// to settle it.
func (r *Root) openPoints() app.UI {
	held := r.d.Consent().Held()
	if len(held) == 0 {
		return none()
	}
	return el("div").ID("open-points").TabIndex(-1).Class("notice").Body(
		say("strong", "", r.t("page.open.title")),
		box("ul", "plain rows", each(len(held), func(i int) app.UI {
			o := held[i]
			return el("li").DataSet("open", o.What).Body(say("p", "", r.message(sheet.OpenPoint(r.d.Base(), o))), r.settlePoint(o))
		})))
}

// settlePoint is what settles one open point.
func (r *Root) settlePoint(o plan.Open) app.UI {
	to := func(view, id, word string) app.UI {
		return el("a").Attr("href", r.link(view)+"#"+id).Text(r.t(word))
	}
	switch o.What {
	case plan.OpenWait:
		return r.button("settle-"+o.Key, "second", r.t("page.open.settled"), func() {
			for _, h := range r.d.Consent().Held() { // its teeth may have changed since
				if h.What == o.What && h.Key == o.Key {
					r.d.Consent().Settle(h.Key, h.Teeth)
				}
			}
		})
	case plan.OpenTalk:
		return r.button("settle-talk", "second", r.t("page.open.talked"), r.d.Consent().SettleTalk)
	case plan.OpenTrialSmile:
		return box("div", "", r.button("settle-trial-smile", "second", r.t("page.open.trial-smile"), r.d.Consent().ShowTrialSmile), r.waive(o))
	case plan.OpenQuestions:
		return box("div", "", to("understanding", "questions-head", "page.open.questions"), r.waive(o))
	case plan.OpenThinking:
		return r.waive(o)
	case plan.OpenAlone:
		return box("div", "", to("", "people-head", "page.open.people"), app.If(o.Whose == "dentist", func() app.UI {
			return r.ownWords(o.What, "page.waits.reason", "page.waits.hint", func(words string) { r.d.Way().SetReason(o.What, words) })
		}))
	}
	return to("", "people-head", "page.open.people")
}

// waive takes the patient's own words, where the practice lets the point be waived.
func (r *Root) waive(o plan.Open) app.UI {
	if o.Whose != "patient" {
		return none()
	}
	return r.ownWords(o.What, "page.open.waive", "page.open.waive-hint", func(words string) { r.d.Consent().Waive(o.What, words) })
}

// ownWords takes words that settle an open point, once they are whole.
func (r *Root) ownWords(open, label, hint string, keep func(string)) app.UI {
	if r.sig.waived == nil {
		r.sig.waived = map[string]string{}
	}
	return box("div", "",
		r.entry("waive-"+open, "text", r.t(label), r.t(hint), r.sig.waived[open], nil, func(v string) { r.sig.waived[open] = v }),
		r.button("waive-go-"+open, "second", r.t("page.open.waive-go"), func() {
			if words := strings.TrimSpace(r.sig.waived[open]); words != "" {
				keep(words)
				delete(r.sig.waived, open)
			}
		}))
}

// soon runs f after the screen has been drawn, for work that stops everything else.
func (r *Root) soon(f func()) {
	var run app.Func
	run = app.FuncOf(func(app.Value, []app.Value) any {
		run.Release()
		r.later(f)
		return nil
	})
	app.Window().Call("setTimeout", run, 60)
}

// sealNow makes the record, hands its file to the downloads and shows its code.
// The passphrase is read from its field, used and wiped; the key is unwrapped for
// this one record and overwritten.
func (r *Root) sealNow() {
	r.sig.fault = ""
	refuse := func(text string) {
		r.k.busy, r.sig.fault, r.sig.over = false, text, r.signed.Over(r.preview.shown)
		r.focus = "seal-phrase"
	}
	shown := r.preview.shown
	if lack := r.signed.SealFault(shown); lack != "" {
		refuse(r.t("page.seal.lacks." + lack))
		return
	}
	phrase := field("seal-phrase")
	own := r.signed.Ring().PrivateFile()
	if own != nil && utf8.RuneCountInString(phrase) < record.MinPassphrase {
		refuse(r.t("page.seal.wrong"))
		return
	}
	r.soon(func() {
		defer wipe("seal-phrase")
		if r.preview.shown != shown || r.preview.plan == nil {
			refuse(r.t("page.seal.moved"))
			return
		}
		var key *record.Key
		if own != nil {
			k, faults := record.OpenKey(own, phrase)
			if len(faults) > 0 {
				refuse(r.t("page.seal.wrong"))
				return
			}
			key = &k
			defer key.Wipe()
		}
		at := now()
		name, file, sealed, faults := r.sealed(shown, at, key)
		if len(faults) > 0 {
			refuse(r.faultText(faults[0]))
			return
		}
		r.k.busy = false
		before := r.d.Mark()
		r.signed.AddSealed(sealed, file, shown)
		// What was sealed stays in sight with its code. A change that is agreed would
		// else give way to the sheet for the next one.
		r.preview.edits = r.signed.Edits()
		r.draw()
		r.tell(before)
		save(name, "application/json", file)
		r.notice = r.t("page.seal.made", "Code", sealed.Code, "File", name)
		r.focus = "seal-print"
	})
}

// sealed makes the record of the sheet in the preview.
func (r *Root) sealed(shown, at string, key *record.Key) (string, []byte, state.Sealed, fault.List) {
	d := r.signed.Decision(shown)
	kind := r.signed.RecordKind(shown)
	s := produce.Seal{Kind: kind, At: at, Key: key, Digest: func(tag string) string {
		w, faults := r.practiceWording(tag)
		if len(faults) > 0 {
			return ""
		}
		return render.Digest(w)
	}}
	if who := r.signed.Who(); who != (record.Identifiers{}) {
		s.Identifiers = &who
	}
	if d.What != "later" && kind != record.Withdrawal {
		s.Decision.What = d.What
	}
	if d.What != "" {
		s.Decision.At = d.At
	}
	if kind == record.Withdrawal {
		s.Decision.At = at
	}
	s.Decision.On = today()
	if kind.Follows() {
		s.Previous = r.signed.Earlier(shown).SHA256
	}
	for _, g := range r.signed.Here(shown, true) {
		s.Signatures = append(s.Signatures, g.By)
	}
	file, rec, mark, faults := produce.Sealed(r.sheetInput(), *r.preview.plan, r.preview.docs, s)
	if len(faults) > 0 {
		return "", nil, state.Sealed{}, faults
	}
	name := produce.RecordName(rec, mark)
	return name, file, state.Sealed{Kind: kind, Sheet: r.d.Paper().Print().Kind, Code: mark.Code, SHA256: mark.SHA256, At: at, Issued: rec.Issued, Name: name}, nil
}

// sheetInput is what the chosen sheet is made of.
func (r *Root) sheetInput() produce.Input {
	c := r.signed.SheetCase()
	return produce.Input{
		Case: c, Practice: r.office.File(), Base: r.d.Base(), Kind: r.d.Paper().Print().Kind,
		Locale: c.Locale, Second: c.Second,
		Wording: r.practiceWording,
		States:  func(tag string) map[string]i18n.State { return r.known(tag).states },
	}
}
