package page

import (
	"cmp"
	"crypto/rand"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/record"
)

// ringing is what stands around keys on the screen.
type ringing struct {
	form  string // make, or drop; "" for none
	owner string // of a key that is being made
	role  string
	open  string // id of the key in the list that is being edited
	drop  string // id of the key whose removal has been asked for
	fault string
}

// keyPart is about this device's own key: make, keep, lose, replace.
func (r *Root) keyPart() app.UI {
	body := []app.UI{say("p", "", r.t("record.key.what"))}
	own := r.signed.Ring().OwnKey()
	if own == nil {
		body = append(body, el("p").ID("key-none").Text(r.t("page.ring.none")))
	} else {
		body = append(body,
			el("p").ID("key-code").Class("code").Dir("ltr").Text(record.Code(own.ID)),
			say("p", "hint key-id", r.t("page.ring.id", "Code", own.ID)),
			app.If(own.Owner != "", func() app.UI { return say("p", "", r.t("page.ring.owner-is", "Name", own.Owner)) }),
			say("p", "", r.t("page.ring.compare")))
	}
	if r.k.state == "none" {
		body = append(body, el("p").ID("key-unkept").Class("notice").Text(r.t("page.ring.unkept")))
	}
	switch r.ring.form {
	case "make":
		body = append(body, r.makeForm(own != nil))
	case "drop":
		body = append(body, el("div").ID("key-drop-ask").Class("notice").Body(
			say("p", "", r.t("page.ring.drop-ask")),
			box("div", "chips",
				r.button("key-drop-yes", "", r.t("page.ring.drop-yes"), func() {
					r.signed.Ring().DropPrivate()
					r.keepRing()
					r.closeRing()
					r.notice = r.t("page.ring.dropped")
					r.focus = "key-make"
				}),
				r.button("key-drop-no", "quiet", r.t("page.ring.drop-no"), func() { r.closeRing(); r.focus = "key-drop" }))))
	default:
		body = append(body, r.keyButtons(own))
	}
	body = append(body, el("details").ID("key-help").Class("drawer").Body(
		say("summary", "", r.t("page.ring.help")),
		say("p", "", r.t("record.key.make")), say("p", "", r.t("record.key.keep")), say("p", "", r.t("record.key.lose")),
		say("p", "", r.t("record.key.replace")), say("p", "", r.t("record.key.copied"))))
	return part("key", r.t("page.ring.title"), body...)
}

func (r *Root) keyButtons(own *record.PublicKey) app.UI {
	label := r.t("page.ring.make")
	if own != nil {
		label = r.t("page.ring.replace")
	}
	return box("div", "chips",
		app.If(own != nil, func() app.UI {
			return r.button("key-public", "", r.t("page.ring.save-public"), func() {
				r.saved("key-"+record.Code(own.ID)+".pub.json", own.File())
			})
		}),
		app.If(own != nil && r.signed.Ring().PrivateFile() != nil, func() app.UI {
			return r.button("key-private", "second", r.t("page.ring.save-private"), func() {
				r.saved("key-"+record.Code(own.ID)+".private.json", r.signed.Ring().PrivateFile())
			})
		}),
		r.button("key-make", "second", label, func() {
			r.closeRing()
			r.ring.form = "make"
			r.ring.owner = cmp.Or(r.office.File().Dentist, r.office.File().Name)
			r.focus = "key-owner"
		}),
		r.opener("key-load", r.t("page.ring.load"), r.loadKey),
		app.If(own != nil, func() app.UI {
			return r.button("key-drop", "quiet", r.t("page.ring.drop"), func() { r.closeRing(); r.ring.form = "drop"; r.focus = "key-drop-no" })
		}),
	)
}

func (r *Root) saved(name string, data []byte) {
	save(name, "application/json", data)
	r.notice = r.t("page.file.saved", "File", name)
}

func (r *Root) makeForm(replaces bool) app.UI {
	return el("div").ID("key-form").Class("notice").Role("group").Aria("labelledby", "key-form-head").Body(
		el("h3").ID("key-form-head").Text(r.t("page.ring.form")),
		app.If(replaces, func() app.UI { return say("p", "", r.t("page.ring.replaces")) }),
		r.entry("key-owner", "text", r.t("page.ring.owner"), "", r.ring.owner, nil, func(v string) { r.ring.owner = v }),
		r.entry("key-role", "text", r.t("page.ring.role"), "", r.ring.role, nil, func(v string) { r.ring.role = v }),
		r.phrase("key-phrase", r.t("page.keep.phrase"), r.n("page.keep.phrase-hint", record.MinPassphrase), r.ring.fault, nil),
		r.phrase("key-again", r.t("page.keep.again"), "", "", r.makeKey),
		box("div", "chips",
			r.working(r.button("key-go", "", r.t("page.ring.go"), func() { r.work(r.makeKey) })),
			r.button("key-cancel", "quiet", r.t("page.keep.cancel"), func() { r.closeRing(); r.focus = "key-make" })),
		app.If(r.k.busy, func() app.UI { return el("p").Role("status").Text(r.t("page.ring.wait")) }),
	)
}

// makeKey makes this device's key. Its private half leaves this function only
// wrapped under the passphrase.
func (r *Root) makeKey() {
	phrase, again := field("key-phrase"), field("key-again")
	if r.ring.fault = r.phraseFault(phrase, again, record.MinPassphrase); r.ring.fault != "" {
		r.k.busy = false
		r.focus = "key-phrase"
		return
	}
	r.soon(func() {
		r.k.busy = false
		k, err := record.NewKey(rand.Reader)
		if err != nil {
			r.ring.fault = r.t("page.trouble.text")
			return
		}
		defer k.Wipe()
		file, faults := k.Wrap(phrase, rand.Reader)
		if len(faults) > 0 {
			r.ring.fault = r.faultText(faults[0])
			return
		}
		r.signed.Ring().NewKey(file, k.Half(strings.TrimSpace(r.ring.owner), strings.TrimSpace(r.ring.role), today()), today())
		r.keepRing()
		r.closeRing()
		r.notice = r.t("page.ring.made", "Code", record.Code(r.signed.Ring().ID()))
		r.focus = "key-private"
	})
}

// loadKey takes a private key file made on another device or by the command.
func (r *Root) loadKey(name, text string) {
	if !record.IsPrivate([]byte(text)) {
		r.notice = r.t("page.ring.not-private", "File", name)
		return
	}
	public, faults := record.HalfOf([]byte(text))
	if len(faults) > 0 {
		r.notice = r.t("page.ring.not-private", "File", name)
		return
	}
	public.Owner = cmp.Or(r.office.File().Dentist, r.office.File().Name)
	r.signed.Ring().NewKey([]byte(text), public, today())
	r.keepRing()
	r.notice = r.t("page.ring.loaded", "Code", record.Code(public.ID))
}

// closeRing puts away the forms about keys.
func (r *Root) closeRing() {
	wipe("key-phrase", "key-again")
	r.ring = ringing{}
}

// keepRing has the keys written on the device.
func (r *Root) keepRing() {
	if r.check.Name != "" { // judged anew by the list as it is now
		r.check = r.signed.Ring().Check(r.check.Name, r.check.Sealed)
	}
	if r.k.state == "" || r.k.state == "none" {
		return
	}
	r.script("setKeys", func(a reply) {
		if !a.OK {
			r.notice = r.t(whyWord(a.Why))
		}
	}, r.signed.Ring().Text())
}

// trustPart is the list of keys whose seals are trusted.
func (r *Root) trustPart() app.UI {
	keys := r.signed.Ring().Keys()
	body := []app.UI{say("p", "hint", r.t("page.trust.about"))}
	if len(keys) == 0 {
		body = append(body, el("p").ID("trust-none").Text(r.t("page.trust.none")))
	} else {
		body = append(body, el("ul").ID("trust").Class("plain rows").Body(
			each(len(keys), func(i int) app.UI { return r.trusted(keys[i]) })))
	}
	body = append(body, box("div", "chips",
		r.opener("trust-add", r.t("page.trust.add"), func(name, text string) {
			n, faults := r.signed.Ring().AddKeys([]byte(text))
			if len(faults) > 0 {
				r.notice = r.t("page.trust.bad", "File", name)
				return
			}
			r.keepRing()
			r.notice = r.n("page.trust.added", n)
		}),
		app.If(len(keys) > 0, func() app.UI {
			return r.button("trust-save", "second", r.t("page.trust.save"), func() { r.saved("trusted-keys.json", record.TrustFile(r.signed.Ring().Keys())) })
		})))
	return part("trust-part", r.t("page.trust.title"), body...)
}

func (r *Root) trusted(k record.PublicKey) app.UI {
	state := "page.trust.state.good"
	switch {
	case k.Withdrawn:
		state = "page.trust.state.withdrawn"
	case k.To.Exists() && k.To.Before(today()):
		state = "page.trust.state.ended"
	}
	name := cmp.Or(strings.TrimSuffix(k.Owner+", "+k.Role, ", "), r.t("page.notsaid"))
	body := []app.UI{
		say("strong", "", name),
		app.If(k.ID == r.signed.Ring().ID(), func() app.UI { return say("p", "hint", r.t("page.trust.own")) }),
		say("p", "key-id", r.t("page.ring.code", "Code", record.Code(k.ID))),
		say("p", "hint", r.t(state)),
	}
	if r.ring.open != k.ID {
		return el("li").DataSet("key", k.ID).Body(append(body,
			r.button("trust-edit-"+k.ID, "second", r.t("page.trust.edit"), func() {
				r.closeRing()
				r.ring.open = k.ID
				r.focus = "trust-owner"
			}).Aria("label", r.t("page.trust.edit-one", "Name", name)))...)
	}
	text := func(id, label, value string, set func(*record.PublicKey, string)) app.UI {
		return r.entry(id, "text", label, "", value, nil, func(v string) {
			r.signed.Ring().EditKey(k.ID, func(p *record.PublicKey) { set(p, v) })
			r.keepRing()
		})
	}
	date := func(id, label, field string) app.UI {
		value, faults := r.signed.Ring().KeyDate(k.ID, field)
		return r.entry(id, "text", label, r.t("page.sign.date-hint", "Date", today().String()), value, faults, func(v string) {
			r.signed.Ring().SetKeyDate(k.ID, field, strings.TrimSpace(v))
			r.keepRing()
		})
	}
	return el("li").DataSet("key", k.ID).Class("key").Body(append(body,
		say("p", "hint key-id", r.t("page.ring.id", "Code", k.ID)),
		box("div", "row",
			text("trust-owner", r.t("page.ring.owner"), k.Owner, func(p *record.PublicKey, v string) { p.Owner = v }),
			text("trust-role", r.t("page.ring.role"), k.Role, func(p *record.PublicKey, v string) { p.Role = v }),
			date("trust-from", r.t("page.trust.from"), "from"),
			date("trust-to", r.t("page.trust.to"), "to")),
		r.tick("trust-withdrawn", r.t("page.trust.withdrawn"), k.Withdrawn, func() {
			r.signed.Ring().EditKey(k.ID, func(p *record.PublicKey) { p.Withdrawn = !p.Withdrawn })
			r.keepRing()
		}),
		say("p", "hint", r.t("record.key.copied")),
		app.If(r.ring.drop == k.ID, func() app.UI {
			return el("div").ID("trust-drop-ask").Class("notice").Body(
				say("p", "", r.t("page.trust.drop-ask")),
				box("div", "chips",
					r.button("trust-drop-yes", "", r.t("page.trust.drop-yes"), func() {
						r.signed.Ring().DropKey(k.ID)
						r.keepRing()
						r.closeRing()
						r.focus = "trust-part-head"
					}),
					r.button("trust-drop-no", "quiet", r.t("page.trust.drop-no"), func() { r.ring.drop = ""; r.focus = "trust-drop" })))
		}),
		box("div", "chips",
			r.button("trust-close", "", r.t("page.trust.close"), func() { r.closeRing(); r.focus = "trust-edit-" + k.ID }),
			app.If(k.ID != r.signed.Ring().ID() && r.ring.drop != k.ID, func() app.UI {
				return r.button("trust-drop", "quiet", r.t("page.trust.drop"), func() { r.ring.drop = k.ID; r.focus = "trust-drop-no" })
			})))...)
}
