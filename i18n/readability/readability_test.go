//go:build !js

package readability

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
)

func near(t *testing.T, name string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s: got %.4f, want %.4f", name, got, want)
	}
}

// Values from counts: the sets below were computed from the formulas and agree
// with npm flesch 2.0.1, flesch-kincaid 2.0.1 and smog-formula 2.0.1.
func TestFormulasFromCounts(t *testing.T) {
	one := Counts{Sentences: 5, Words: 60, Syllables: 90, Letters: 270, Polysyllabic: 6}
	two := Counts{Sentences: 4, Words: 100, Syllables: 185, Letters: 520, Polysyllabic: 22}
	for _, c := range []struct {
		name     string
		f        func(Counts) float64
		one, two float64
	}{
		{"Flesch", Counts.FleschEase, 67.7550, 24.9500},
		{"Flesch-Kincaid", Counts.FleschKincaid, 6.7900, 15.9900},
		{"SMOG", Counts.Smog, 9.3871, 16.5267},
		{"Fernandez Huerta", Counts.FernandezHuerta, 104.6000, 70.3400},
		{"INFLESZ", Counts.Inflesz, 101.3850, 66.5800},
	} {
		near(t, c.name+" 1", c.f(one), c.one, 0.0005)
		near(t, c.name+" 2", c.f(two), c.two, 0.0005)
	}
	near(t, "SMOG, 30 sentences", Counts{Sentences: 30, Polysyllabic: 25}.Smog(), 8.3441, 0.0005)
}

// Published examples: npm flesch, flesch-kincaid and smog-formula readmes give
// counts and scores of the two English sentences; the Spanish greeting is in the
// tests of the Python package textstat.
func TestPublishedExamples(t *testing.T) {
	platypus := Counts{Sentences: 1, Words: 13, Syllables: 26, Polysyllabic: 4}
	near(t, "platypus grade", platypus.FleschKincaid(), 13.08, 0.0005)
	near(t, "platypus ease", platypus.FleschEase(), 24.44, 0.0005)
	near(t, "platypus SMOG", platypus.Smog(), 14.554593, 0.0005)

	cat, err := Count("en", "The cat sat on the mat.")
	if err != nil || cat.Sentences != 1 || cat.Words != 6 || cat.Syllables != 6 {
		t.Fatalf("%+v, %v", cat, err)
	}
	near(t, "cat ease", cat.FleschEase(), 116.145, 0.0005)
	near(t, "cat grade", cat.FleschKincaid(), -1.45, 0.0005)

	hoy, err := Count("es", "Hoy es un lindo día")
	if err != nil || hoy.Sentences != 1 || hoy.Words != 5 || hoy.Syllables != 7 || hoy.Letters != 15 {
		t.Fatalf("%+v, %v", hoy, err)
	}
	near(t, "hoy Fernandez Huerta", hoy.FernandezHuerta(), 117.74, 0.0005)
	near(t, "hoy INFLESZ", hoy.Inflesz(), 114.615, 0.0005)

	// The German ones are also there, rounded to one decimal.
	for text, want := range map[string]float64{
		"Alle meine Entchen schwimmen auf dem See, Köpfchen unters Wasser, Schwänzchen in die Höh.":                                         3.8,
		"Alle Parteien widmen dem Thema rein quantitativ betrachtet nennenswerte Aufmerksamkeit, die Grünen wenig überraschend am meisten.": 13.9,
	} {
		c, err := Count("de", text)
		if err != nil || c.Sentences != 1 {
			t.Fatalf("%+v, %v", c, err)
		}
		near(t, "Wiener Sachtextformel", c.WienerSachtext(), want, 0.05)
	}
}

// Own texts, counted by hand; Debian style 1.11 prints 112.6 and -0.7 for the
// English one, npm silabea 1.0.0 the same syllables for the Spanish one.
func TestWholeTexts(t *testing.T) {
	en, err := Count("en", "Brush twice a day. Floss once a day. Do not bite hard things with your front teeth. Wear the night guard if we gave you one. Call us if a veneer feels loose, rough or sore.")
	want := Counts{Sentences: 5, Words: 36, Syllables: 37, Letters: 131, Monosyllabic: 35}
	if en.Long = 0; err != nil || en != want {
		t.Errorf("got %+v, %v", en, err)
	}
	near(t, "ease", en.FleschEase(), 112.577, 0.0005)
	near(t, "grade", en.FleschKincaid(), -0.654, 0.0005)

	es, err := Count("es", "Cepille sus dientes dos veces al día. No muerda cosas duras con los dientes de delante. Llámenos si nota una carilla floja.")
	if err != nil || es.Sentences != 3 || es.Words != 22 || es.Syllables != 40 {
		t.Errorf("got %+v, %v", es, err)
	}
	near(t, "Fernandez Huerta", es.FernandezHuerta(), 90.2691, 0.0005)
	near(t, "INFLESZ", es.Inflesz(), 86.2289, 0.0005)
}

func TestNoFormulaAndNoWords(t *testing.T) {
	for _, tag := range []string{"ar", "fr", "ja", "en-US", ""} {
		if _, err := Read(tag, "نص"); !errors.Is(err, ErrNoFormula) {
			t.Errorf("%q: %v", tag, err)
		}
		if _, err := Worst(tag, "نص", 3); !errors.Is(err, ErrNoFormula) {
			t.Errorf("%q: %v", tag, err)
		}
	}
	for _, text := range []string{"", " \n ", "...", "?!", "+1 555 0100"} {
		if s, err := Read("en", text); !errors.Is(err, ErrEmpty) {
			t.Errorf("%q: %+v, %v", text, s, err)
		}
	}
}

func TestSentences(t *testing.T) {
	for _, c := range []struct {
		tag, text string
		want      []string
	}{
		{"en", "One. Two! Three? Four", []string{"One.", "Two!", "Three?", "Four"}},
		{"en", "A heading\nFirst item\nSecond item.", []string{"A heading", "First item", "Second item."}},
		{"en", "About 0.3 mm. Dr. B. White said so. No. It hurts.", []string{"About 0.3 mm.", "Dr. B. White said so.", "No.", "It hurts."}},
		{"en", `She said "wait." Then (later!) we went on...`, []string{`She said "wait."`, "Then (later!)", "we went on..."}},
		{"en", "Really?! Yes… It is so do I. Stop.", []string{"Really?!", "Yes…", "It is so do I.", "Stop."}},
		{"es", "¿Duele? No. La Dra. López dijo: ¡espere! Son las 10 a.m. en punto.", []string{"¿Duele?", "No.", "La Dra. López dijo: ¡espere!", "Son las 10 a.m. en punto."}},
		{"de", "Tut es weh? Nein. Fr. Dr. Braun sagt: „Bitte warten.“ Etwa 0,3 mm, z.B. am Rand.", []string{"Tut es weh?", "Nein.", "Fr. Dr. Braun sagt: „Bitte warten.“", "Etwa 0,3 mm, z.B. am Rand."}},
		{"ar", "هل يؤلم؟ لا. نعم", []string{"هل يؤلم؟", "لا.", "نعم"}},
		{"ja", "痛い。大丈夫！", []string{"痛い。", "大丈夫！"}},
	} {
		if got := Sentences(c.tag, c.text); !slices.Equal(got, c.want) {
			t.Errorf("%s: got %q, want %q", c.text, got, c.want)
		}
	}
}

func TestWords(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string
	}{
		{"Don't mock-up, it’s fine.", []string{"Don't", "mock-up", "it’s", "fine"}},
		{"Call +1 (555) 010-0199 now.", []string{"Call", "now"}},
		{"Call 555 0100 now.", []string{"Call", "now"}},
		{"On 2026-11-25 at 14:30 or 25/11/2026.", []string{"On", "at", "or"}},
		{"See www.example.org or a@example.org, https://example.org/x today.", []string{"See", "or", "today"}},
		{"About 0.3 mm of 100 teeth, 1,250 in all.", []string{"About", "0.3", "mm", "of", "100", "teeth", "1,250", "in", "all"}},
	} {
		if got := Words(c.text); !slices.Equal(got, c.want) {
			t.Errorf("%s: got %q, want %q", c.text, got, c.want)
		}
	}
}

// Counts from common knowledge; sunglasses and area are two that spelling rules
// often get wrong.
func TestEnglishSyllables(t *testing.T) {
	for n, words := range map[int]string{
		1: "tooth teeth bite bites smiled bridge once through rough bond chipped the crowns a i we're",
		2: "veneer table troubles dental crooked biting needed edges surface bonded  isn't dentist dentist's wedges",
		3: "enamel dentistry area composite whitening sunglasses treatable",
		4: "information reversible alternative zirconia",
		5: "sensitivity",
		6: "responsibility",
	} {
		for w := range strings.FieldsSeq(words) {
			if got := English(w); got != n {
				t.Errorf("%s: got %d, want %d", w, got, n)
			}
		}
	}
}

// Divisions as in the dictionary of the RAE or by its rules; from common knowledge.
func TestSpanishSyllables(t *testing.T) {
	for n, words := range map[int]string{
		1: "y muy hay buey dos que sin",
		2: "día diente guía leer cuota hielo ayer guante aire oír",
		3: "cepille ahora ayuda cuidado pingüino carilla esmalte paciente prohíbe héroe",
		4: "tratamiento porcelana dentadura alegría sustituido",
		5: "sensibilidad odontólogo",
		6: "odontología rehabilitación reversibilidad",
	} {
		for w := range strings.FieldsSeq(words) {
			if got := Spanish(w); got != n {
				t.Errorf("%s: got %d, want %d", w, got, n)
			}
		}
	}
}

// Divisions by the rules of Duden, from common knowledge. Of the 1912 words that the
// German wording had when this was written, 1845 have as many syllables by npm hyphen
// 1.14.1 (TeX patterns of 1996); the rest are those where a single letter may not stand
// alone in print (oben), foreign words, and the words met one by one in German.
func TestGermanSyllables(t *testing.T) {
	for n, words := range map[int]string{
		1: "zahn biss quer ja weiß zieht euch zwei haar säugt",
		2: "kleber oben freie idee ruhe zähne neue schiene quelle bauen veneer feuer",
		3: "patient karies reagiert zahnärztin studien fluorid ideen betäubung füllungen",
		4: "patienten beurteilen nachkontrolle oberfläche material zahnkeramik",
		5: "einwilligungen provisorien",
		6: "antibiotikum materialien",
	} {
		for w := range strings.FieldsSeq(words) {
			if got := German(w); got != n {
				t.Errorf("%s: got %d, want %d", w, got, n)
			}
		}
	}
}

func TestHyphensAndNumbersInCount(t *testing.T) {
	c, err := Count("en", "The mock-up is 0.3 mm thick.")
	// the 1, mock-up 2, is 1, 0.3 1, mm 1 (a run without a vowel), thick 1
	if err != nil || c.Words != 6 || c.Syllables != 7 || c.Sentences != 1 {
		t.Errorf("got %+v, %v", c, err)
	}
}

func TestWorst(t *testing.T) {
	text := "Call us. Irreversible preparation necessitates comprehensive documentation. We will help you."
	got, err := Worst("en", text, 1)
	if err != nil || len(got) != 1 || !strings.HasPrefix(got[0], "Irreversible") {
		t.Errorf("got %q, %v", got, err)
	}
	got, err = Worst("es", "Llame. La odontología restauradora requiere documentación exhaustiva.", 5)
	if err != nil || len(got) != 2 || !strings.HasPrefix(got[0], "La odontología") {
		t.Errorf("got %q, %v", got, err)
	}
}

// Cut points: Barrio-Cantalejo et al. 2008.
func TestInfleszBands(t *testing.T) {
	for value, want := range map[float64]string{39.9: "muy difícil", 40: "algo difícil", 55: "normal", 65: "bastante fácil", 80: "bastante fácil", 80.1: "muy fácil"} {
		if got := InfleszBand(value); got != want {
			t.Errorf("%v: %s", value, got)
		}
	}
}

func TestShortIsSaid(t *testing.T) {
	s, err := Read("en", "Call us.")
	if err != nil || !s.Short || s.Formula != "flesch-kincaid-grade" {
		t.Errorf("%+v, %v", s, err)
	}
	s, err = Read("es", strings.Repeat("Llame si le duele. ", 30))
	if err != nil || s.Short || s.Formula != "inflesz" {
		t.Errorf("%+v, %v", s, err)
	}
}

// Counted by hand.
func TestCharacters(t *testing.T) {
	for s, want := range map[string]int{
		"": 0, "。，！": 0, "贴面": 2, "请在24小时内打电话。": 9, "拍X光片": 4, "程序需要JavaScript。": 5, "两颗牙：11、12": 5, "plain words here": 3,
	} {
		if got := Characters(s); got != want {
			t.Errorf("%q has %d, got %d", s, want, got)
		}
	}
}
