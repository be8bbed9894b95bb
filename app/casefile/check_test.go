package casefile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"plainleaf/app/fault"
)

func lines(fl fault.List) string {
	var b strings.Builder
	for _, f := range fl {
		b.WriteString(f.Code + " " + f.Path + "\n")
	}
	return b.String()
}

// change puts each second string in place of the first, which must occur once.
func change(t *testing.T, in string, pairs ...string) string {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if strings.Count(in, pairs[i]) != 1 {
			t.Fatalf("%q occurs %d times", pairs[i], strings.Count(in, pairs[i]))
		}
		in = strings.Replace(in, pairs[i], pairs[i+1], 1)
	}
	return in
}

const end = `"horizon_years": 20`

func TestCaseFaults(t *testing.T) {
	for _, c := range []struct {
		name, old, new, want string
	}{
		{"version", `"version": 1`, `"version": 3`, "CASE-VERSION version\n"},
		{"version missing", `"version": 1, `, ``, "CASE-VERSION version\n"},
		{"version of a wrong type is one fault", `"version": 1`, `"version": "1"`, "JSON-TYPE version\n"},
		{"key twice", end, `"version": 1`, "JSON-DUPLICATE-KEY version\n"},
		{"key in capitals", `"issued"`, `"Issued"`, "JSON-KEY-CASE Issued\n"},
		{"unknown key", `"tooth": "21"`, `"tooth": "21", "color": "A1"`, "JSON-UNKNOWN-KEY teeth[1].color\n"},
		{"id", end, `"id": "a b"`, "CASE-ID id\n"},
		{"id too long", end, `"id": "` + strings.Repeat("a", 65) + `"`, "CASE-ID id\n"},
		{"id, longest", end, `"id": "` + strings.Repeat("a", 64) + `"`, ""},
		{"revision", end, `"revision": -1`, "CASE-REVISION revision\n"},
		{"milk tooth", `"tooth": "21"`, `"tooth": "51"`, "CASE-TOOTH teeth[1].tooth\n"},
		{"no such tooth", `"tooth": "21"`, `"tooth": "99"`, "CASE-TOOTH teeth[1].tooth\n"},
		{"ninth tooth", `"tooth": "21"`, `"tooth": "19"`, "CASE-TOOTH teeth[1].tooth\n"},
		{"one digit", `"tooth": "21"`, `"tooth": "1"`, "CASE-TOOTH teeth[1].tooth\n"},
		{"signed", `"tooth": "21"`, `"tooth": "+21"`, "CASE-TOOTH teeth[1].tooth\n"},
		{"other digits", `"tooth": "21"`, `"tooth": "٢١"`, "CASE-TOOTH teeth[1].tooth\n"},
		{"a number", `"tooth": "21"`, `"tooth": 21`, "JSON-TYPE teeth[1].tooth\n"},
		{"no tooth", `{"tooth": "21"}`, `{}`, "CASE-TOOTH teeth[1].tooth\n"},
		{"tooth twice", `"tooth": "21"`, `"tooth": "12"`, "CASE-TOOTH-TWICE teeth[2].tooth\n"},
		{"two bad teeth are not a tooth twice", `{"tooth": "21"}`, `{"tooth": "51"}, {"tooth": "61"}`, "CASE-TOOTH teeth[1].tooth\nCASE-TOOTH teeth[2].tooth\n"},
		{"date not existing", `"2026-12-01"`, `"2026-02-30"`, "DATE-INVALID start\n"},
		{"date in words", `"2026-12-01"`, `"1 December 2026"`, "DATE-INVALID start\n"},
		{"start before issue", `"2026-12-01"`, `"2026-11-24"`, "CASE-DATES start\n"},
		{"start on issue", `"2026-12-01"`, `"2026-11-25"`, ""},
		{"start long ago, delivered", `"2026-12-01"`, `"2026-10-01", "stage": "delivered"`, ""},
		{"no issue date", `"issued": "2026-11-25", `, ``, "CASE-ISSUED issued\n"},
		{"no start", `"start": "2026-12-01",`, ``, "CASE-START start\n"},
		{"locale", `"locale": "es"`, `"locale": "tlh"`, "CASE-LOCALE locale\n"},
		{"second locale", `"second": "en"`, `"second": "es"`, "CASE-SECOND second\n"},
		{"second locale unknown", `"second": "en"`, `"second": "tlh"`, "CASE-LOCALE second\n"},
		{"numbering", `"fdi"`, `"zsigmondy"`, "CASE-NUMBERING numbering\n"},
		{"route", `"no-prep"`, `"no-drill"`, "CASE-ROUTE route\n"},
		{"no route", `"route": "no-prep", `, ``, "CASE-ROUTE route\n"},
		{"tooth's route", `"minimal-prep"`, `"Minimal"`, "CASE-ROUTE teeth[2].route\n"},
		{"material", `"lithium-disilicate"`, `"gold"`, "CASE-MATERIAL material\n"},
		{"tooth's material unknown", `"tooth": "21"`, `"tooth": "21", "material": "gold"`, "CASE-MATERIAL teeth[1].material\n"},
		{"composite veneer shells", `"lithium-disilicate"`, `"composite"`, "CASE-ROUTE-MATERIAL material\n"},
		{"tooth's material", `"tooth": "21"`, `"tooth": "21", "material": "zirconia"`, "CASE-ROUTE-MATERIAL teeth[1].material\n"},
		{"tooth's route takes no such material", `"tooth": "21"`, `"tooth": "21", "route": "direct-composite", "material": "feldspathic"`, "CASE-ROUTE-MATERIAL teeth[1].material\n"},
		{"a tooth may take a route that drops the material", `"tooth": "21"`, `"tooth": "21", "route": "direct-composite"`, ""},
		{"then", end, `"then": "no-prep"`, "CASE-THEN then\n"},
		{"shade", `"A1"`, `"A5"`, "CASE-SHADE target_shade\n"},
		{"shade in small letters", `"C4"`, `"c4"`, "CASE-SHADE teeth[0].underlying_shade\n"},
		{"finding", `"bruxism"`, `"grinding"`, "CASE-FINDING findings[0]\n"},
		{"finding of the case on a tooth", `"tooth": "21"`, `"tooth": "21", "findings": ["bruxism"]`, "CASE-FINDING-PLACE teeth[1].findings[0]\n"},
		{"finding of a tooth on the case", `"bruxism"`, `"root-filled"`, "CASE-FINDING-PLACE findings[0]\n"},
		{"finding twice", `"bruxism"`, `"tight-contacts"`, "CASE-FINDING-TWICE findings[1]\n"},
		{"finding of the case named again on a tooth", `"tooth": "21"`, `"tooth": "21", "findings": ["tight-contacts"]`, ""},
		{"contradiction", `"bruxism"`, `"no-back-teeth", "calm-bite"`, "CASE-CONTRADICTION findings[1]\n"},
		{"contradiction, named the other way round", `"bruxism"`, `"open-contacts"`, "CASE-CONTRADICTION findings[1]\n"},
		{"contradiction between tooth and case", `"tooth": "21"`, `"tooth": "21", "findings": ["open-contacts"]`, "CASE-CONTRADICTION teeth[1].findings[0]\n"},
		{"finding against the age band", `"bruxism", "tight-contacts"]`, `"young-patient"], "people": {"age_band": "adult"}`, "CASE-FINDING-AGE findings[0]\n"},
		{"finding in its age band", `"bruxism", "tight-contacts"]`, `"young-patient"], "people": {"age_band": "child"}`, ""},
		{"change", `"facial-contouring"`, `"enamelplasty"`, "CASE-CHANGE answers[0].change\n"},
		{"answer", `"ask"`, `"maybe"`, "CASE-ANSWER answers[0].answer\n"},
		{"blank answer", `"ask"`, `""`, ""},
		{"answer for another tooth", `"teeth": ["11"]`, `"teeth": ["11", "13"]`, "CASE-TOOTH-ABSENT answers[0].teeth[1]\n"},
		{"answer for a tooth that is none", `"teeth": ["11"]`, `"teeth": ["11", "9"]`, "CASE-TOOTH answers[0].teeth[1]\n"},
		{"answer names a tooth twice", `"teeth": ["11"]`, `"teeth": ["11", "11"]`, "CASE-TOOTH-TWICE answers[0].teeth[1]\n"},
		{"answered twice", `"answer": "ask"}`, `"answer": "ask"}, {"change": "facial-contouring", "teeth": ["21", "11"], "answer": "agree"}`, "CASE-ANSWER-TWICE answers[1].answer\n"},
		{"answered twice, for all", `"answer": "ask"}`, `"answer": "ask"}, {"change": "facial-contouring", "teeth": [], "answer": "no"}`, "CASE-ANSWER-TWICE answers[1].answer\n"},
		{"same answer twice", `"answer": "ask"}`, `"answer": "ask"}, {"change": "facial-contouring", "teeth": ["21", "11"], "answer": "ask"}`, ""},
		{"agreed for all, can be undone", `"facial-contouring", "teeth": ["11"], "answer": "ask"`, `"numbing-needed", "teeth": [], "answer": "agree"`, ""},
		{"agreed for all, cannot be undone", `"teeth": ["11"], "answer": "ask"`, `"teeth": [], "answer": "agree"`, "CASE-ANSWER-ALL answers[0].teeth\n"},
		{"priority", `"keep-enamel"`, `"cheapest"`, "CASE-PRIORITY priorities[0]\n"},
		{"priority twice", `"keep-enamel"`, `"fewest-visits"`, "CASE-PRIORITY-TWICE priorities[1]\n"},
		{"horizon", end, `"horizon_years": 31`, "CASE-HORIZON horizon_years\n"},
		{"horizon, longest", end, `"horizon_years": 30`, ""},
		{"horizon below", end, `"horizon_years": -1`, "CASE-HORIZON horizon_years\n"},
		{"horizon of nothing", end, `"horizon_years": 0`, "CASE-HORIZON horizon_years\n"},
		{"horizon in words", end, `"horizon_years": "20"`, "JSON-TYPE horizon_years\n"},
		{"detail", end, `"detail": "all"`, "CASE-DETAIL detail\n"},
		{"stage", end, `"stage": "done"`, "CASE-STAGE stage\n"},
		{"people", end, `"people": {"age_band": "old", "decides": "me", "assent": "maybe", "interpreter": "friend", "interpreter_way": "fax"}`,
			"CASE-PEOPLE people.age_band\nCASE-PEOPLE people.decides\nCASE-PEOPLE people.assent\nCASE-PEOPLE people.interpreter\nCASE-PEOPLE people.interpreter_way\n"},
		{"a minor decides alone", end, `"people": {"age_band": "adolescent", "decides": "patient"}`, ""},
		{"a parent decides for an adult", end, `"people": {"age_band": "adult", "decides": "parent"}`, "CASE-DECIDES-AGE people.decides\n"},
		{"way without interpreter", end, `"people": {"interpreter": "none", "interpreter_way": "video"}`, "CASE-INTERPRETER people.interpreter_way\n"},
		{"tooth state", end, `"tooth_state": [{"tooth": "21", "state": "gone"}, {"tooth": "21", "state": "shaped"}, {"tooth": "13", "state": "bonded"}]`,
			"CASE-STATE tooth_state[0].state\nCASE-TOOTH-TWICE tooth_state[1].tooth\nCASE-TOOTH-ABSENT tooth_state[2].tooth\n"},
		{"shaped while deciding", end, `"stage": "deciding", "tooth_state": [{"tooth": "21", "state": "shaped"}]`, "CASE-STAGE-CONTRADICTION tooth_state[0].state\n"},
		{"try-in while deciding", end, `"stage": "deciding", "tryin": [{"sitting": 1, "teeth": ["11"], "shade": "approved"}]`, "CASE-STAGE-CONTRADICTION tryin[0]\n"},
		{"departure while deciding", end, `"stage": "deciding", "departures": [{"change": "remake-by-lab", "teeth": ["11"]}]`, "CASE-STAGE-CONTRADICTION departures[0]\n"},
		{"try-in before the first visit", end, `"stage": "at-try-in", "tryin": [{"sitting": 1, "teeth": ["11"], "date": "2026-11-30", "shade": "approved"}]`, "CASE-DATES tryin[0].date\n"},
		{"try-in on no day", end, `"stage": "at-try-in", "tryin": [{"sitting": 1, "teeth": ["11"], "date": "2027-02-29", "shade": "approved"}]`, "DATE-INVALID tryin[0].date\n"},
		{"departure before the first visit", end, `"stage": "delivered", "departures": [{"change": "remake-by-lab", "teeth": ["11"], "date": "2026-11-30"}]`, "CASE-DATES departures[0].date\n"},
		{"departure", end, `"stage": "delivered", "departures": [{"change": "remake", "teeth": ["31"], "date": "2026-13-30", "note": "a\u0007"}]`,
			"DATE-INVALID departures[0].date\nJSON-CONTROL departures[0].note\nCASE-CHANGE departures[0].change\nCASE-TOOTH-ABSENT departures[0].teeth[0]\n"},
		{"try-ins", end, `"stage": "at-try-in", "tryin": [{"sitting": 0, "teeth": ["41"], "shade": "fine", "shape": "ok", "length": "no"}, {"sitting": 2, "teeth": []}, {"sitting": 2, "teeth": []}]`,
			"CASE-SITTING tryin[0].sitting\nCASE-TOOTH-ABSENT tryin[0].teeth[0]\nCASE-TRYIN tryin[0].shade\nCASE-TRYIN tryin[0].shape\nCASE-TRYIN tryin[0].length\nCASE-SITTING-TWICE tryin[2].sitting\n"},
		{"blank words", end, `"questions": [{"asked": " "}], "teach_back": [{"topic": ""}], "advice": {"reason": ""}, "proceed_reasons": [{"wait_for": "bruxism", "reason": ""}]`,
			"TEXT-BLANK teach_back[0].topic\nTEXT-BLANK questions[0].asked\nTEXT-BLANK advice.reason\nTEXT-BLANK proceed_reasons[0].reason\n"},
		{"long words", end, `"questions": [{"asked": "` + strings.Repeat("é", 2001) + `", "answer": "` + strings.Repeat("é", 2000) + `"}]`, "TEXT-LONG questions[0].asked\n"},
		{"advice", end, `"advice": {"route": "the best", "reason": "because"}`, "CASE-ROUTE advice.route\n"},
		{"proceed reasons", end, `"proceed_reasons": [{"wait_for": "fear", "reason": "x"}, {"wait_for": "pregnancy", "reason": "x"}, {"wait_for": "pregnancy", "reason": "y"}]`,
			"CASE-WAIT-FOR proceed_reasons[0].wait_for\nCASE-WAIT-FOR-TWICE proceed_reasons[2].wait_for\n"},
		{"agreed visits", end, `"visits": [{"key": "delivery", "date": "2026-12-29", "time": "09:05"}, {"key": "delivery", "number": 2, "date": "2026-12-30"}]`, ""},
		{"agreed visits, wrong", end, `"visits": [{"key": "A b", "date": "2026-12-29"}, {"key": "review"}, {"key": "delivery", "date": "2026-02-30", "time": "24:00"}, {"key": "delivery", "number": 1, "date": "2026-12-29", "time": "9:00"}, {"key": "review", "number": -1, "date": "2026-12-29"}]`,
			"DATE-INVALID visits[2].date\nCASE-VISIT visits[0].key\nCASE-VISIT-DATE visits[1].date\nCASE-TIME visits[2].time\nCASE-VISIT-TWICE visits[3]\nCASE-TIME visits[3].time\nCASE-VISIT-NUMBER visits[4].number\nCASE-VISIT-TWICE visits[4]\n"},
		{"handed out", end, `"calendar": {"sequence": 2, "given": [{"id": "0a-1f", "date": "2026-12-29", "time": "23:59", "withdrawn": true}]}`, ""},
		{"handed out, wrong", end, `"calendar": {"sequence": -1, "given": [{"id": "0a", "date": "2026-12-29"}, {"id": "0a", "date": "2026-12-29", "time": "noon"}, {"id": "x\u000a"}]}`,
			"JSON-CONTROL calendar.given[2].id\nCASE-CALENDAR calendar.sequence\nCASE-CALENDAR calendar.given[1].id\nCASE-TIME calendar.given[1].time\nCASE-CALENDAR calendar.given[2].date\n"},
		{"truncated", `, "horizon_years": 20 }`, ``, "JSON-TRUNCATED $\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, faults := ReadCase([]byte(change(t, design, c.old, c.new)), word)
			if lines(faults) != c.want {
				t.Errorf("got\n%swant\n%s", lines(faults), c.want)
			}
			for _, f := range faults {
				if f.Text == "" || strings.Contains(f.Text, "%!") {
					t.Errorf("%s has the text %q", f.Code, f.Text)
				}
			}
		})
	}
}

func TestRoutesAndTeeth(t *testing.T) {
	head := `{"version": 1, "issued": "2026-11-25", "start": "2026-11-25", `
	for _, c := range []struct{ in, want string }{
		{`"route": "none", "teeth": []`, ""},
		{`"route": "whitening-home"`, ""},
		{`"route": "whitening-in-office", "teeth": []`, ""},
		{`"route": "whitening-home", "material": "composite"`, "CASE-ROUTE-MATERIAL material\n"},
		{`"route": "no-prep", "teeth": []`, "CASE-NO-TEETH teeth\n"},
		{`"route": "whitening-home", "then": "no-prep", "material": "feldspathic", "teeth": [{"tooth": "11"}]`, ""},
		{`"route": "whitening-home", "then": "no-prep"`, "CASE-NO-TEETH teeth\n"},
		{`"route": "whitening-home", "then": "whitening-in-office"`, "CASE-THEN then\n"},
		{`"route": "no-prep", "then": "crown", "teeth": [{"tooth": "11", "route": "whitening-home"}]`, "CASE-THEN then\n"},
		{`"route": "no-prep", "teeth": {}`, "JSON-TYPE teeth\n"},
		{`"route": "gum-care-first"`, "CASE-NO-TEETH teeth\n"},
		{`"route": "gum-care-first", "then": "no-prep", "material": "feldspathic", "teeth": [{"tooth": "11"}]`, ""},
		{`"route": "gum-care-first", "then": "crown", "material": "feldspathic", "teeth": [{"tooth": "11"}]`, "CASE-ROUTE-MATERIAL material\n"},
		{`"route": "gum-care-first", "material": "feldspathic", "teeth": [{"tooth": "11"}]`, "CASE-ROUTE-MATERIAL material\n"},
		{`"route": "straightening-first", "then": "gum-care-first", "teeth": [{"tooth": "11"}]`, "CASE-THEN then\n"},
		{`"route": "straightening-first", "then": "none", "teeth": [{"tooth": "11"}]`, "CASE-THEN then\n"},
		{`"route": "straightening-first", "then": "later", "teeth": [{"tooth": "11"}]`, "CASE-THEN then\n"},
		{`"route": "replace-veneers", "then": "crown", "material": "zirconia", "teeth": [{"tooth": "11"}]`, ""},
		{`"route": "replace-veneers", "then": "replace-veneers", "teeth": [{"tooth": "11"}]`, "CASE-THEN then\n"},
		{`"route": "no-prep", "then": "crown", "teeth": [{"tooth": "11"}, {"tooth": "21", "route": "replace-veneers", "material": "metal-ceramic"}]`, ""},
		{`"route": "direct-composite", "material": "composite", "teeth": [{"tooth": "11"}]`, ""},
		{`"route": "crown", "material": "composite", "teeth": [{"tooth": "11"}]`, "CASE-ROUTE-MATERIAL material\n"},
	} {
		if _, faults := ReadCase([]byte(head+c.in+"}"), word); lines(faults) != c.want {
			t.Errorf("%s: got\n%swant\n%s", c.in, lines(faults), c.want)
		}
	}
}

// A case made in the program, not read from a file, goes through the same checks.
func TestCheckOfACaseThatWasNeverAFile(t *testing.T) {
	c := Case{Version: 1, Issued: Date{2026, 2, 30}, Start: Date{2026, 13, 1}, Route: NoPrep,
		Teeth: []ToothEntry{{Tooth: 0}, {Tooth: -11}}, Questions: []Question{{Asked: "a\xff"}, {Asked: "a\u202eb"}}}
	want := "DATE-INVALID issued\nDATE-INVALID start\nCASE-TOOTH teeth[0].tooth\nCASE-TOOTH teeth[1].tooth\nTEXT-CONTROL questions[0].asked\nTEXT-CONTROL questions[1].asked\n"
	if got := lines(c.Check(word)); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	if _, err := WriteCase(c); err == nil {
		t.Error("a case that cannot be read back was written")
	}
	c = Case{Questions: []Question{{Asked: "\xff"}}}
	if _, err := WriteCase(c); err == nil {
		t.Error("a text that is not UTF-8 was written")
	}
}

const practice = `{"version": 1, "name": "Demo", "telephone": "+1 202-555-0101", "emergency_line": "(202) 555-0102", "emergency_service": "911",
  "email": "desk@practice.example", "locale": "en", "languages": ["en", "ar"], "currency": "EUR",
  "fees": {"no-prep": {"per_tooth": 90000}, "night-guard": {"flat": 30000}},
  "opening_days": ["mon", "tue"], "closures": [{"from": "2026-12-24", "to": "2027-01-01"}], "time_zone": "Europe/Madrid",
  "base_address": "https://practice.example/plainleaf/",
  "sign_offs": [{"sheet": "all", "locale": "en", "who": "A. Demo", "role": "dentist", "when": "2026-11-01"}],
  "figures": {"visit.try-in.minutes": {"low": 30, "likely": 45, "high": 60}},
  "wordings": {"en": {"a.b": "x", "c.d": {"one": "x", "other": "y"}}},
  "wording_sources": {"en": {"a.b": "es 0123456789abcdef"}}}`

func TestPracticeFaults(t *testing.T) {
	for _, c := range []struct{ name, old, new, want string }{
		{"good", `"mon"`, `"mon"`, ""},
		{"version", `"version": 1`, `"version": 0`, "PRAC-VERSION version\n"},
		{"newer version", `"version": 1, "name": "Demo"`, `"version": 3, "name": "", "new": true`, "PRAC-VERSION version\n"},
		{"waiver", `"name": "Demo",`, `"name": "Demo", "waivers": ["thinking-time", "signature"],`, "PRAC-WAIVER waivers[1]\n"},
		{"confirmed", `"name": "Demo",`, `"name": "Demo", "confirmed": ["time_zone", "fees.no-prep", "fees.gold", "name", "time_zone"],`, "PRAC-CONFIRMED confirmed[2]\nPRAC-CONFIRMED confirmed[3]\nPRAC-CONFIRMED confirmed[4]\n"},
		{"approved", `"name": "Demo",`, `"name": "Demo", "approved": {"en": {"a.b": "01234567"}, "ar": {"a.b": "01234567 89abcdef", "c.d": "0123"}, "xx": {}},`, "PRAC-DIGEST approved.ar.c.d\nPRAC-LOCALE approved.xx\n"},
		{"in service", `"name": "Demo",`, `"name": "Demo", "in_service": {"en": {"a.b": "x", "c.d": 1}},`, "PRAC-WORDING in_service.en.c.d\n"},
		{"unknown key", `"name": "Demo"`, `"name": "Demo", "logo": "http://x.example/a.svg"`, "JSON-UNKNOWN-KEY logo\n"},
		{"name", `"Demo"`, `""`, "TEXT-BLANK name\n"},
		{"country", `"name": "Demo",`, `"name": "Demo", "country": "GB",`, ""},
		{"country that is none", `"name": "Demo",`, `"name": "Demo", "country": "UK",`, "PRAC-COUNTRY country\n"},
		{"country in small letters", `"name": "Demo",`, `"name": "Demo", "country": "de",`, "PRAC-COUNTRY country\n"},
		{"telephone", `"+1 202-555-0101"`, `"call us"`, "PRAC-TELEPHONE telephone\n"},
		{"telephone with markup", `"(202) 555-0102"`, `"<b>202</b>"`, "PRAC-TELEPHONE emergency_line\n"},
		{"telephone too long", `"911"`, `"` + strings.Repeat("9", 26) + `"`, "PRAC-TELEPHONE emergency_service\n"},
		{"blank telephone may be read", `"+1 202-555-0101"`, `""`, ""},
		{"mail", `"desk@practice.example"`, `"desk@practice.example, x@y.example"`, "PRAC-EMAIL email\n"},
		{"mail without a host", `"desk@practice.example"`, `"desk@"`, "PRAC-EMAIL email\n"},
		{"locale", `"locale": "en", "languages"`, `"locale": "xx", "languages"`, "PRAC-LOCALE locale\n"},
		{"languages", `["en", "ar"]`, `["en", "xx", "en"]`, "PRAC-LOCALE languages[1]\nPRAC-LOCALE-TWICE languages[2]\n"},
		{"currency", `"EUR"`, `"Eur"`, "PRAC-CURRENCY currency\n"},
		{"no currency", `"currency": "EUR",`, ``, "PRAC-CURRENCY currency\n"},
		{"fee", `"no-prep"`, `"no-drill"`, "PRAC-FEE fees.no-drill\n"},
		{"negative fee", `90000`, `-1`, "PRAC-FEE-RANGE fees.no-prep.per_tooth\n"},
		{"fraction of a cent", `90000`, `900.5`, "JSON-TYPE fees.no-prep.per_tooth\n"},
		{"day", `"tue"`, `"tuesday"`, "PRAC-DAY opening_days[1]\n"},
		{"day twice", `"tue"`, `"mon"`, "PRAC-DAY-TWICE opening_days[1]\n"},
		{"closure ends before it starts", `"2027-01-01"`, `"2026-01-01"`, "PRAC-DATES closures[0].to\n"},
		{"closure without end", `, "to": "2027-01-01"`, ``, "PRAC-CLOSURE closures[0].to\n"},
		{"time zone", `"Europe/Madrid"`, `"CEST"`, "PRAC-TIME-ZONE time_zone\n"},
		{"time zone that is none", `"Europe/Madrid"`, `"Europe/Nowhere"`, "PRAC-TIME-ZONE time_zone\n"},
		{"time zone as a path", `"Europe/Madrid"`, `"../etc/passwd"`, "PRAC-TIME-ZONE time_zone\n"},
		{"three-part time zone", `"Europe/Madrid"`, `"America/Argentina/Buenos_Aires"`, ""},
		{"http", `"https:`, `"http:`, "PRAC-ADDRESS base_address\n"},
		{"script", `"https://practice.example/plainleaf/"`, `"javascript:alert(1)"`, "PRAC-ADDRESS base_address\n"},
		{"user in address", `"https://practice.example/plainleaf/"`, `"https://a:b@practice.example/"`, "PRAC-ADDRESS base_address\n"},
		{"sign-off", `{"sheet": "all", "locale": "en", "who": "A. Demo", "role": "dentist", "when": "2026-11-01"}`,
			`{"sheet": "every", "locale": "xx", "who": "", "role": "", "wording": "<p>"}`,
			"PRAC-SHEET sign_offs[0].sheet\nPRAC-LOCALE sign_offs[0].locale\nTEXT-BLANK sign_offs[0].who\nTEXT-BLANK sign_offs[0].role\nPRAC-SIGNED sign_offs[0].when\nPRAC-DIGEST sign_offs[0].wording\n"},
		{"figure", `"visit.try-in.minutes"`, `"survival.glass"`, "PRAC-FIGURE figures.survival.glass\n"},
		{"figure falls", `"likely": 45`, `"likely": 61`, "PRAC-FIGURE-ORDER figures.visit.try-in.minutes\n"},
		{"figure below 0", `"low": 30`, `"low": -30`, "PRAC-FIGURE-RANGE figures.visit.try-in.minutes\n"},
		{"figure without its likely value", `"likely": 45, `, ``, "PRAC-FIGURE-LIKELY figures.visit.try-in.minutes\n"},
		{"fraction above 1", `"visit.try-in.minutes": {"low": 30, "likely": 45, "high": 60}`, `"change.opening-contacts.likely": {"likely": 33}`, "PRAC-FIGURE-RANGE figures.change.opening-contacts.likely\n"},
		{"wording locale", `"wordings": {"en"`, `"wordings": {"xx"`, "PRAC-LOCALE wordings.xx\n"},
		{"wording source locale", `"wording_sources": {"en"`, `"wording_sources": {"xx"`, "PRAC-LOCALE wording_sources.xx\n"},
		{"wording source", `"es 0123456789abcdef"`, `"xx 0123456789ABCDEF"`, "PRAC-LOCALE wording_sources.en.a.b\nPRAC-DIGEST wording_sources.en.a.b\n"},
		{"wording shape", `"a.b": "x"`, `"a.b": 1, "a.c": {"few": ["x"]}, "a.d": {"plural": "x", "other": ""}`,
			"PRAC-WORDING wordings.en.a.b\nPRAC-WORDING wordings.en.a.c.few\nPRAC-WORDING wordings.en.a.c\nTEXT-BLANK wordings.en.a.d.other\nPRAC-WORDING wordings.en.a.d.plural\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, faults := ReadPractice([]byte(change(t, practice, c.old, c.new)), word)
			if lines(faults) != c.want {
				t.Errorf("got\n%swant\n%s", lines(faults), c.want)
			}
		})
	}
}

func TestPracticeComplete(t *testing.T) {
	p, faults := ReadPractice([]byte(practice), word)
	if len(faults) > 0 || len(p.Complete()) > 0 {
		t.Fatal(faults.Lines(), p.Complete().Lines())
	}
	p.Telephone, p.EmergencyLine = "", " "
	if got := lines(p.Complete()); got != "PRAC-TELEPHONE-BLANK telephone\nPRAC-EMERGENCY-BLANK emergency_line\n" {
		t.Errorf("got %s", got)
	}
	data, err := WritePractice(p)
	if err != nil {
		t.Fatal(err)
	}
	again, _ := ReadPractice(data, word)
	if second, err := WritePractice(again); err != nil || string(second) != string(data) {
		t.Errorf("written again %s (%v)", second, err)
	}
}

func FuzzReadCase(f *testing.F) {
	paths, _ := filepath.Glob("../../testdata/cases/*.json")
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte(design))
	f.Add([]byte(`{"version":1,"issued":"2026-11-25","start":"2026-11-25","route":"none","teeth":[],"questions":[{"asked":"\ud83d\ude00<&>"}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, faults := ReadCase(data, word)
		if len(faults) > 0 {
			return
		}
		first, err := WriteCase(c)
		if err != nil {
			t.Fatalf("accepted %q, which cannot be written: %v", data, err)
		}
		again, faults := ReadCase(first, word)
		if len(faults) > 0 {
			t.Fatalf("accepted %q, refused what was written from it: %s", data, faults.Lines())
		}
		if second, _ := WriteCase(again); string(second) != string(first) {
			t.Fatalf("written twice:\n%s\n%s", first, second)
		}
	})
}

// Every free text has the same limits, wherever it stands.
func TestEveryTextIsLimited(t *testing.T) {
	for code, s := range map[string]string{"TEXT-LONG": strings.Repeat("x", 2001), "TEXT-CONTROL": "a\u0000b"} {
		old := caseV1{
			OldDepartures: []departureV1{{Change: "remake-by-lab", Note: s, Date: Date{2027, 2, 29}}},
			OldTryIns:     []tryInV1{{Sitting: 1, Note: s}}, OldTeachBack: []teachBackV1{{Topic: s, Note: s}}}
		c := Case{Version: 1, Issued: Date{2026, 11, 25}, Start: Date{2026, 11, 25}, Route: None, Stage: Agreed,
			People:    &People{CapacitySupport: s, Companion: s},
			Questions: []Question{{Asked: s, Answer: s}}, caseV1: old,
			Advice: &Advice{Reason: s}, ProceedReasons: []ProceedReason{{WaitFor: "bruxism", Reason: s}}}
		var want fault.List
		for _, path := range []string{"people.capacity_support", "people.companion", "departures[0].note", "tryin[0].note", "questions[0].asked",
			"questions[0].answer", "teach_back[0].topic", "teach_back[0].note", "advice.reason", "proceed_reasons[0].reason"} {
			want.Add(code, path, "")
		}
		want.Add("DATE-INVALID", "departures[0].date", "")
		if got := lines(c.Check(word).Sorted()); got != lines(want.Sorted()) {
			t.Errorf("case: got\n%swant\n%s", got, lines(want.Sorted()))
		}
		p := Practice{Version: 1, Locale: "en", Name: s, Address: s, Dentist: s, Complaints: s, Guarantee: s, Remakes: s, Funding: s,
			SignOffs: []SignOff{{Sheet: "all", Locale: "en", Who: s, Role: s, When: Date{2026, 11, 1}}},
			Wordings: map[string]map[string]any{"en": {"a": s, "b": map[string]any{"other": s}}}}
		want = nil
		for _, path := range []string{"name", "address", "dentist", "complaints", "guarantee", "remakes", "funding", "sign_offs[0].who", "sign_offs[0].role",
			"wordings.en.a", "wordings.en.b.other"} {
			want.Add(code, path, "")
		}
		if got := lines(p.Check(word).Sorted()); got != lines(want.Sorted()) {
			t.Errorf("practice: got\n%swant\n%s", got, lines(want.Sorted()))
		}
	}
}

// Gum care before straightening needs no chain: the finding puts it there, and the
// fault says so.
func TestStraighteningAfterGumCareIsToldHow(t *testing.T) {
	for then, want := range map[Route]string{StraighteningFirst: "name it as the route", GumCareFirst: "cannot follow"} {
		c := Case{Version: 1, Issued: Date{2026, 11, 25}, Start: Date{2026, 12, 1}, Route: GumCareFirst, Then: then, Teeth: []ToothEntry{{Tooth: 11}}}
		if text := c.Check(Vocabulary{}).Lines(); !strings.Contains(text, "CASE-THEN\tthen\t") || !strings.Contains(text, want) {
			t.Errorf("%s: %s", then, text)
		}
	}
}
