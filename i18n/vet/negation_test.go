package vet

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/fault"
	"plainleaf/i18n"
)

func messages(t *testing.T, tag string) (i18n.Language, map[string]i18n.Message) {
	t.Helper()
	lang, ok := i18n.Lookup(tag)
	data, _ := i18n.Embedded(tag)
	m, faults := lang.Parse(Path(tag, ""), data)
	if !ok || len(faults) > 0 {
		t.Fatal(tag, faults.Lines())
	}
	return lang, m
}

func TestNegation(t *testing.T) {
	const glue = "Please do not glue it yourself. Call us."
	for _, c := range []struct{ tag, source, text, want string }{
		{"en", glue, "Please glue it yourself. Call us.", "the source says no, \"Please do not glue it yourself.\", and the text does not, \"Please glue it yourself.\""},
		{"en", glue, "Please call us, and glue it yourself.", "the source says no"},
		{"en", glue, "Please don’t glue it yourself. Call us.", ""},
		{"en", glue, "Call us. Never glue it.", ""},
		{"en", glue, "Please leave it alone and avoid glue. Call us.", ""},
		{"en", "Do not avoid it.", "Avoid it.", "the source says no"},
		{"en", "Please do not eat until you can feel your lip.", "Please eat until you can feel your lip.", "the source says no"},
		{"en", "Call us today.", "You need not call us today.", "the source does not say no, \"Call us today.\", and the text does, \"You need not call us today.\""},
		{"en", "It can't last. Nobody's to blame.", "It can last. It is your fault.", "the source says no, \"It can't last.\""},
		{"en", "Not now. Not there.", "Not now. There.", "the source says no, \"Not there.\", and the text does not, \"There.\""},
		{"en", "Your note is known.", "A knot, a notch and a cannot.", "the source does not say no"},
		{"en", "Your note is known.", "A knot, a notch.", ""},
		{"es", glue, "Por favor, no lo pegue usted. Llámenos.", ""},
		{"es", glue, "Por favor, péguelo usted. Llámenos.", "the source says no"},
		{"es", "Eat without it.", "Coma con ella.", "the source says no"},
		{"es", "It never comes back.", "Vuelve siempre.", "the source says no"},
		{"es", "Please do not bite anything hard.", "Por favor, muerda nada duro.", "the source says no"},
		{"es", "Nothing leaves the device.", "Nada sale del aparato.", ""},
		{"es", "Nobody can say.", "Nadie puede decirlo.", ""},
		{"es", "You see it before anything is glued.", "Lo ve antes de pegar nada.", ""},
		{"es", "Call us today.", "No nos llame hoy.", "the source does not say no"},
		{"es", "{{.Phone}} is not there.", "{{.Phone}} está ahí.", "the source says no"},
		{"ar", glue, "يُرجى عدم لصقها بنفسك. اتصل بنا.", ""},
		{"ar", glue, "يُرجى لصقها بنفسك. اتصل بنا.", "the source says no"},
		{"ar", "If it hurts, do not wait.", "إذا آلمتك فلا تنتظر.", ""},
		{"ar", "If it hurts, do not wait.", "إذا آلمتك فانتظر.", "the source says no"},
		{"ar", "It is not known what comes.", "ما يأتي معروف.", "the source says no"}, // "what", no negation
		{"ar", "It is not known what comes.", "ليس معروفًا ما يأتي.", ""},
		{"ar", "It is not known what comes.", "لَيْسَ معروفًا ما يأتي.", ""},
		{"ar", "Call us today.", "لا تتصل بنا اليوم.", "the source does not say no"},
		{"de", glue, "Bitte kleben Sie es selbst an. Rufen Sie an.", ""}, // parked, without words
	} {
		lang, _ := i18n.Known(c.tag)
		faults := Messages(lang, map[string]i18n.Message{"warning.x": {Other: c.source}}, map[string]i18n.Message{"warning.x": {Other: c.text}}, nil)
		if c.want == "" && len(faults) > 0 || c.want != "" && (len(faults) != 1 || faults[0].Code != "WORDING-NEGATION" || !strings.HasPrefix(faults[0].Text, c.want)) {
			t.Errorf("%s: %q for %q: got %s, want %q", c.tag, c.text, c.source, faults.Lines(), c.want)
		}
	}
}

func TestNegationInEveryForm(t *testing.T) {
	source := i18n.Message{One: "This tooth is not glued.", Other: "{{.Count}} teeth are not glued."}
	ar, _ := i18n.Lookup("ar")
	good := i18n.Message{Zero: "كل الأسنان ملصقة.", One: "سن واحدة لم تُلصق.", Two: "سنان لم تُلصقا.", Few: "{{.Count}} أسنان لم تُلصق.", Many: "{{.Count}} سنًا لم تُلصق.", Other: "{{.Count}} سن لم تُلصق."}
	for _, c := range append([]string{""}, i18n.Categories[1:]...) {
		bad, want := good, ""
		if c != "" {
			bad, want = good.WithForm(c, strings.Replace(good.Form(c), " لم", "", 1)), "form "+c+": the source says no"
		}
		faults := negation(ar, "t.x", source, bad)
		if want == "" && len(faults) > 0 || want != "" && (len(faults) != 1 || !strings.HasPrefix(faults[0].Text, want)) {
			t.Errorf("form %q: %s", c, faults.Lines())
		}
	}
	en := i18n.Source()
	faults, _ := Own("wordings", en, map[string]i18n.Message{"t.x": source}, map[string]i18n.Message{"t.x": source.WithForm("one", "This tooth is glued.")})
	if len(faults) != 1 || faults[0].Code != "WORDING-NEGATION" || faults[0].Args["Value"] != "This tooth is glued." ||
		!strings.Contains(faults[0].Text, "\"This tooth is not glued.\"") || !strings.Contains(faults[0].Text, Advice("WORDING-NEGATION")) {
		t.Errorf("%+v", faults)
	}
}

// without takes the negating words out of the first sentence that has one; "" where none has.
func (n negating) without(text string) string {
	all := sentences(text)
	for i, s := range all {
		words := slices.DeleteFunc(strings.Fields(s), func(w string) bool { return has(plain(w), n.No) != "" })
		if fresh := strings.Join(words, " "); fresh != s {
			all[i] = fresh
			return strings.Join(all, " ")
		}
	}
	return ""
}

// Most shipped sentences that lose a negating word are found; the rest have a second such
// word in the sentence, are cut otherwise than the source, or are allowed.
func TestNegationsTakenOutOfShippedSentences(t *testing.T) {
	_, english := messages(t, "en")
	for _, l := range i18n.Languages() {
		lang, texts := messages(t, l.Tag)
		tried, found := 0, 0
		for _, id := range slices.Sorted(maps.Keys(texts)) {
			if texts[id].Plural() || english[id].Plural() {
				continue
			}
			bad := loadNegations().Words[l.Tag].without(texts[id].Other)
			if bad == "" {
				continue
			}
			if tried++; len(negation(lang, id, english[id], i18n.Message{Other: bad})) > 0 {
				found++
			}
		}
		t.Logf("%s: %d of %d found", l.Tag, found, tried)
		if tried < 500 || found*20 < tried*17 {
			t.Errorf("%s: only %d of %d found", l.Tag, found, tried)
		}
	}
}

// Every language has its words, and what is allowed is there and needs to be.
func TestNegationsFile(t *testing.T) {
	_, english := messages(t, "en")
	known := loadNegations()
	for _, l := range i18n.Languages() {
		lang, texts := messages(t, l.Tag)
		words := known.Words[l.Tag]
		if len(words.No) == 0 {
			t.Errorf("%s has no negating words in negations.json", l.Tag)
		}
		for _, w := range slices.Concat(words.No, words.Maybe) {
			if p := plain(w); strings.TrimPrefix(p, " ^ ") != strings.TrimPrefix(w, "^ ")+" " {
				t.Errorf("%s: %q is never met: a text has it as %q", l.Tag, w, p)
			}
		}
		allowed := known.Allowed[l.Tag]
		known.Allowed[l.Tag] = nil
		for id, why := range allowed {
			var faults fault.List
			if m, ok := texts[id]; ok {
				faults = negation(lang, id, english[id], m)
			}
			if len(faults) == 0 || why == "" {
				t.Errorf("%s: %s needs no reason, or has none: %q", l.Tag, id, why)
			}
		}
		known.Allowed[l.Tag] = allowed
	}
	for tag := range known.Allowed {
		if _, ok := i18n.Lookup(tag); !ok {
			t.Errorf("there is no language %s", tag)
		}
	}
}
