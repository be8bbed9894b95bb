package page

import (
	"cmp"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/record"
	"plainleaf/app/screens/state"
	"plainleaf/i18n"
)

// checking is what was typed beside the record that is being looked at.
type checking struct {
	code string // from the patient's copy
	told bool   // that no trusted key stands behind the record that was to go to other systems
}

// recordsView is where a sealed record is opened and checked, and where the keys
// are kept.
func (r *Root) recordsView() []app.UI {
	views := []app.UI{say("p", "lead", r.t("page.verify.lead")), r.verifyPart()}
	if r.check.Name != "" && r.check.Verdict.Integrity != record.Unreadable {
		views = append(views, r.readingPart())
	}
	return append(views, r.keyPart(), r.trustPart())
}

func (r *Root) verifyPart() app.UI {
	body := []app.UI{
		say("p", "hint", r.t("page.verify.about")),
		box("div", "chips",
			r.opener("record-file", r.t("page.verify.open"), func(name, text string) {
				r.check = r.signed.Ring().Check(name, []byte(text))
				r.checked.told = false
				r.focus = "verdicts-head"
			}),
			app.If(r.check.Name != "", func() app.UI {
				return r.button("record-close", "second", r.t("page.verify.close"), func() {
					r.check, r.checked = state.Checked{}, checking{}
					r.focus = "record-file"
				})
			})),
		r.entry("record-code", "text", r.t("page.verify.code"), r.t("page.verify.code-hint"), r.checked.code, nil,
			func(v string) { r.checked.code = v }),
	}
	typed := strings.TrimSpace(r.checked.code)
	if r.check.Name == "" {
		if typed != "" {
			// Without the record the code alone can only be read.
			word := "page.verify.code-alone"
			if _, ok := record.ParseCode(typed); !ok {
				word = "record.code.mistyped"
			}
			body = append(body, el("p").ID("code-said").Role("status").Text(r.t(word)))
		}
		return part("verify", r.t("page.verify.title"), body...)
	}
	return part("verify", r.t("page.verify.title"), append(body, r.verdicts(typed)...)...)
}

// verdicts are three, and none stands for another.
func (r *Root) verdicts(typed string) []app.UI {
	v := r.check.Verdict
	verdict := func(id, head string, good bool, lines ...string) app.UI {
		class := "verdict"
		if !good {
			class += " bad"
		}
		return el("div").ID("verdict-"+id).Class(class).Body(
			say("h3", "", head),
			each(len(lines), func(i int) app.UI { return say("p", map[bool]string{true: "hint"}[i > 0], lines[i]) }))
	}
	signer, trust := r.signerLines(), r.trustLines()
	out := []app.UI{
		el("h3").ID("verdicts-head").TabIndex(-1).Text(r.t("page.verify.verdicts", "File", r.check.Name)),
		el("div").ID("verdicts").Class("verdicts").DataSet("integrity", v.Integrity).DataSet("signer", v.Signer).DataSet("trust", v.Trust).Body(
			verdict("integrity", r.t("page.verify.integrity"), v.Integrity == record.Intact && v.Signer != record.Wrong, r.t(v.IntegrityWord())),
			verdict("signer", r.t("page.verify.signer"), v.Signer == record.Signed, signer...),
			verdict("trust", r.t("page.verify.trust"), v.Trust == record.Trusted, trust...),
		),
	}
	if v.Integrity == record.Unreadable {
		return append(out, r.faults("record-faults", v.Faults))
	}
	if len(v.Where) > 0 {
		out = append(out, el("div").ID("where").Class("notice").Body(
			say("strong", "", r.t("page.verify.where")),
			box("ul", "", each(min(len(v.Where), 40), func(i int) app.UI {
				p := v.Where[i]
				n := v.Named(p)
				at := r.t(n.ID, "Language", r.lang().NameOf(n.Language), "Text", n.Heading)
				return el("li").DataSet("where", p.Path).Text(r.t("record.where."+p.What, "Text", at))
			}))))
	}
	out = append(out, el("p").ID("code-is").Text(r.t("record.code.is", "Code", v.Code)))
	if typed != "" {
		c, ok := record.ParseCode(typed)
		said := "record.code.differs"
		switch {
		case !ok:
			said = "record.code.mistyped"
		case c == v.Code:
			said = "record.code.fits"
		}
		out = append(out, el("p").ID("code-said").Class("firm").Role("status").Text(r.t(said)))
	}
	var limits []string
	for _, id := range v.Record.Limits {
		if strings.HasPrefix(id, "record.limit.") && r.words.Has(id) {
			limits = append(limits, r.t(id))
		}
	}
	return append(out, el("details").ID("limits").Class("drawer").Body(
		say("summary", "", r.t("page.verify.limits")),
		box("ul", "", each(len(limits), func(i int) app.UI { return say("li", "", limits[i]) }))))
}

// signerLines say by which key the record is signed.
func (r *Root) signerLines() []string {
	v := r.check.Verdict
	if v.Signer == record.Signed {
		return []string{r.t("record.signer.signed", "Code", record.Code(v.Key)), r.t("page.ring.id", "Code", v.Key)}
	}
	return []string{r.t("record.signer." + v.Signer)}
}

// trustLines say whether that key is trusted, and whose it is.
func (r *Root) trustLines() []string {
	v := r.check.Verdict
	out := []string{r.t("record.trust." + v.Trust)}
	if len(r.signed.Ring().Keys()) == 0 && v.Trust == record.Unknown {
		out = append(out, r.t("page.verify.no-list"))
	}
	if v.Owner != "" {
		out = append(out, r.t("record.trust.owner", "Name", strings.TrimSuffix(v.Owner+", "+v.Role, ", ")))
	}
	return out
}

// readingPart shows what the record holds, as the record has it, true or not.
func (r *Root) readingPart() app.UI {
	v, rec := r.check.Verdict, r.check.Record
	if !r.check.Whole {
		return part("reading", r.t("page.verify.reading"), say("p", "", r.t("page.verify.not-whole")))
	}
	kind := rec.Kind
	name := string(kind)
	if id := "record.kind." + name; r.words.Has(id) {
		name = r.t(id)
	}
	facts := []app.UI{fact(r.t("page.verify.kind"), name), fact(r.t("page.verify.practice"), rec.Practice.Name)}
	if rec.Sealed != "" {
		date, clock := moment(r.lang(), rec.Sealed)
		facts = append(facts, fact(r.t("page.verify.sealed"), r.t("page.sign.when", "Date", date, "Time", clock)))
	}
	if id := rec.Identifiers; id != nil {
		for _, f := range [][2]string{{"furniture.name", id.Name}, {"furniture.born", id.Born}, {"furniture.chart", id.Chart}} {
			if f[1] != "" {
				facts = append(facts, fact(r.t(f[0]), f[1]))
			}
		}
	}
	if w := rec.Decision.What; w == "agreed" || w == "refused" || w == "withdrawn" {
		facts = append(facts, fact(r.t("page.sign.decision"), r.t("page.verify.decided."+w)))
	}
	if rec.Previous != "" {
		facts = append(facts, fact(r.t("page.verify.previous"), cmp.Or(record.Code(rec.Previous), rec.Previous)))
	}
	for _, w := range v.Record.Wordings {
		if l, ok := i18n.Known(w.Locale); ok && r.words.Has("record.review."+w.State) {
			facts = append(facts, fact(r.t("page.verify.words"), r.t("record.review."+w.State, "Language", r.lang().NameOf(l.Tag))))
		}
	}
	body := []app.UI{box("dl", "", facts...)}
	for i, s := range rec.Signatures {
		role := s.Role
		if r.words.Has(roleWord(role)) {
			role = r.t(roleWord(role))
		}
		text := s.Name
		if r.words.Has("page.sign.said." + s.Way) {
			text = r.signedBy(r.words, s)
		}
		if i == 0 {
			body = append(body, say("h3", "", r.t("page.verify.signatures")))
		}
		body = append(body, el("div").Class("given").DataSet("signed", s.Role).Body(ink(s), say("p", "", role+": "+text)))
	}
	for _, l := range rec.Languages {
		body = append(body, r.reading(l))
	}
	return part("reading", r.t("page.verify.reading"), append(body, r.fhirPart()...)...)
}

// fhirPart gives the record to other systems, which take it as it comes: it says who
// sealed it and whether that key is trusted where it is given, and of a record that
// none of the trusted keys stands behind before.
func (r *Root) fhirPart() []app.UI {
	body := []app.UI{
		say("p", "hint", r.t("page.verify.fhir-about")),
		el("div").ID("fhir-key").DataSet("trust", r.check.Verdict.Trust).Body(
			say("p", "", r.signerLines()[0]),
			each(len(r.trustLines()), func(i int) app.UI { return say("p", "", r.trustLines()[i]) })),
	}
	if r.checked.told && r.check.Verdict.Trust != record.Trusted && len(r.signed.Ring().Keys()) > 0 {
		return append(body, el("div").ID("fhir-ask").Class("notice").Body(
			el("p").ID("fhir-ask-head").TabIndex(-1).Role("alert").Text(r.t("page.verify.fhir-ask")),
			box("div", "chips",
				r.button("record-fhir-no", "", r.t("page.verify.fhir-no"), func() { r.checked.told = false; r.focus = "record-fhir" }),
				r.button("record-fhir-yes", "second", r.t("page.verify.fhir-yes"), r.saveFHIR))))
	}
	return append(body, box("div", "chips", r.button("record-fhir", "second", r.t("page.verify.fhir"), r.saveFHIR)))
}

func (r *Root) saveFHIR() {
	data, ask, faults := r.signed.Ring().FHIR(r.check, r.checked.told)
	if ask {
		r.checked.told = true
		r.focus = "fhir-ask-head"
		return
	}
	r.checked.told = false
	r.focus = "record-fhir"
	if len(faults) > 0 {
		r.notice = r.t("page.verify.no-fhir")
		return
	}
	name := strings.TrimSuffix(r.check.Name, ".json") + ".fhir.json"
	save(name, "application/fhir+json", data)
	r.notice = r.t("page.file.saved", "File", name)
}

// reading is the text of one language, section by section. It comes from a file
// and is written as text only.
func (r *Root) reading(l record.Language) app.UI {
	name := r.lang().NameOf(l.Locale)
	dir := "auto"
	if l.Dir == "rtl" || l.Dir == "ltr" {
		dir = l.Dir
	}
	var text []app.UI
	for _, s := range l.Sections {
		if s.Heading != "" {
			text = append(text, say("h3", "", s.Heading))
		}
		for _, b := range s.Blocks {
			if b.Text != "" {
				text = append(text, say("p", "", b.Text))
			}
			var items []string
			for _, it := range b.Items {
				items = append(items, rowOf(b, it))
			}
			if len(items) > 0 {
				text = append(text, box("ul", "", each(len(items), func(i int) app.UI { return say("li", "", items[i]) })))
			}
		}
	}
	return el("details").Class("drawer").DataSet("reading", l.Locale).Body(
		say("summary", "", r.t("page.verify.text", "Language", name)),
		el("div").Class("reading").Lang(l.Locale).Dir(dir).Body(append([]app.UI{say("h3", "", l.Title)}, text...)...))
}

// rowOf is a row of a record as one line.
func rowOf(b record.Block, it record.Item) string {
	box := func(on bool) string {
		if on {
			return "\u2612 "
		}
		return "\u2610 "
	}
	var parts []string
	row := it.Text
	if it.Label != "" && it.Text != "" {
		row = it.Label + ": " + it.Text
	} else if it.Label != "" {
		row = it.Label
	}
	if b.Kind == "tick" {
		row = box(it.Crossed) + row
	}
	parts = append(parts, row)
	parts = append(parts, it.More...)
	for i, c := range it.Cells {
		if b.Kind == "table" && i+1 < len(b.Columns) { // a number says nothing without its column
			parts = append(parts, b.Columns[i+1])
		}
		parts = append(parts, c.Texts...)
		for _, x := range c.Boxes {
			if x.Where != "" {
				parts = append(parts, x.Where)
			}
			parts = append(parts, box(x.Crossed)+x.Text)
		}
	}
	return strings.TrimSpace(strings.Join(parts, " · "))
}
