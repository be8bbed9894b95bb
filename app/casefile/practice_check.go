package casefile

import (
	"maps"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"plainleaf/app/fault"
)

const (
	letters = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
	digits  = "0123456789"
	// maxFee is in minor units of the currency.
	maxFee = 1_000_000_000_000
)

// Weekdays are the keys of the days, Monday first (ISO 8601).
func Weekdays() []string { return []string{"mon", "tue", "wed", "thu", "fri", "sat", "sun"} }

// SheetKinds are the kinds of sheet that can be signed off.
func SheetKinds() []string {
	return []string{"options", "wait", "consent", "tryin", "change", "aftercare"}
}

// pluralForms are the CLDR plural categories.
var pluralForms = []string{"zero", "one", "two", "few", "many", "other"}

func only(s, chars string) bool {
	return strings.IndexFunc(s, func(c rune) bool { return !strings.ContainsRune(chars, c) }) < 0
}

// Check reports what is impossible in p. In the browser a time zone is checked
// by its form only, elsewhere it must exist. Blank telephone numbers are
// not reported here but by Complete.
func (p Practice) Check(v Vocabulary) fault.List {
	k := &check{v: v}
	if p.Version < 1 || p.Version > PracticeVersion {
		k.Append(fault.New("PRAC-VERSION", "version", "this program reads versions 1 to %d, not %d: a higher one needs a newer program", PracticeVersion, p.Version).
			With("From", "1").With("To", strconv.Itoa(PracticeVersion)).With("Version", strconv.Itoa(p.Version)))
	}
	k.said("name", p.Name)
	k.text("address", p.Address)
	k.country(p.Country)
	k.text("dentist", p.Dentist)
	k.text("complaints", p.Complaints)
	k.text("guarantee", p.Guarantee)
	k.text("remakes", p.Remakes)
	k.text("funding", p.Funding)
	k.telephone("telephone", p.Telephone)
	k.telephone("emergency_line", p.EmergencyLine)
	k.telephone("emergency_service", p.EmergencyService)
	k.email(p.Email)
	k.locales(p)
	if p.Currency != "" && (len(p.Currency) != 3 || !only(p.Currency, letters[26:])) {
		k.add("PRAC-CURRENCY", "currency", p.Currency, "%q is not a three-letter currency code such as EUR", p.Currency)
	} else if p.Currency != "" && len(k.v.Currencies) > 0 && !slices.Contains(k.v.Currencies, p.Currency) {
		k.add("PRAC-CURRENCY", "currency", p.Currency, "%q is not a currency that prices can be written in; use its ISO 4217 code, such as EUR", p.Currency)
	}
	k.fees(p)
	k.once("PRAC-DAY", "opening_days", p.OpeningDays, Weekdays())
	k.once("PRAC-DAY", "laboratory_days", p.LaboratoryDays, Weekdays())
	k.closures("closures", p.Closures)
	k.closures("laboratory_closures", p.LabClosures)
	k.zone(p.TimeZone)
	k.address(p.BaseAddress)
	for i, s := range p.SignOffs {
		path := at("sign_offs", i)
		if s.Sheet != "all" && !slices.Contains(SheetKinds(), s.Sheet) {
			k.add("PRAC-SHEET", path+".sheet", s.Sheet, "%q is not a kind of sheet", s.Sheet)
		}
		k.locale(path+".locale", s.Locale)
		k.said(path+".who", s.Who)
		k.said(path+".role", s.Role)
		k.date("PRAC-SIGNED", path+".when", s.When)
		if len(s.Wording) > 128 || !only(s.Wording, letters+digits+"-_:+/=") {
			k.add("PRAC-DIGEST", path+".wording", "", "this is not a digest of a wording")
		}
	}
	k.figures(p)
	k.wordings("wordings", p.Wordings)
	k.sources(p)
	k.approved(p)
	k.wordings("in_service", p.InService)
	k.once("PRAC-WAIVER", "waivers", p.Waivers, Waivable())
	for i, key := range p.Confirmed {
		fee, ofFee := strings.CutPrefix(key, "fees.")
		if slices.Contains(p.Confirmed[:i], key) || !slices.Contains(MayBeShared(), key) && !(ofFee && v.Fees[fee]) {
			k.add("PRAC-CONFIRMED", at("confirmed", i), key, "%q is listed twice or nothing that can be confirmed", key)
		}
	}
	return k.List
}

// Complete reports what must not be blank when something is printed for a patient.
func (p Practice) Complete() fault.List {
	k := &check{}
	if blank(p.Telephone) {
		k.add("PRAC-TELEPHONE-BLANK", "telephone", "", "the practice's telephone number is blank")
	}
	if blank(p.EmergencyLine) {
		k.add("PRAC-EMERGENCY-BLANK", "emergency_line", "", "the practice's emergency line is blank")
	}
	return k.List
}

func (k *check) telephone(path, s string) {
	if s == "" {
		return
	}
	n := 0
	for _, c := range s {
		if c >= '0' && c <= '9' {
			n++
		}
	}
	// Two digits: some countries' emergency services have no more. An
	// international number has at most 15 (ITU-T E.164); extensions add some.
	if n < 2 || n > 25 || len(s) > 50 || !only(s, digits+" +-().,/#*x") {
		k.add("PRAC-TELEPHONE", path, s, "%q does not look like a telephone number", s)
	}
}

func (k *check) country(s string) {
	if s != "" && !slices.Contains(Countries(), s) {
		k.add("PRAC-COUNTRY", "country", s, "%q is not the two-letter code of a country such as GB (ISO 3166-1)", s)
	}
}

func (k *check) email(s string) {
	if s == "" {
		return
	}
	name, host, found := strings.Cut(s, "@")
	if !found || name == "" || len(s) > 254 || !strings.Contains(strings.Trim(host, "."), ".") ||
		!only(name, letters+digits+".!#$%&'*+/=?^_`{|}~-") || !only(host, letters+digits+".-") {
		k.add("PRAC-EMAIL", "email", s, "%q is not a plain mail address", s)
	}
}

func (k *check) locale(path, s string) {
	if !slices.Contains(k.v.Locales, s) {
		k.add("PRAC-LOCALE", path, s, "%q is not a language with a wording", s)
	}
}

func (k *check) locales(p Practice) {
	k.locale("locale", p.Locale)
	k.once("PRAC-LOCALE", "languages", p.Languages, k.v.Locales)
}

func (k *check) fees(p Practice) {
	for _, key := range slices.Sorted(maps.Keys(p.Fees)) {
		f, path := p.Fees[key], "fees."+key
		if !k.v.Fees[key] {
			k.add("PRAC-FEE", path, key, "%q is nothing that has a fee", key)
		}
		for _, part := range []struct {
			path string
			fee  int64
		}{{path + ".per_tooth", f.PerTooth}, {path + ".flat", f.Flat}} {
			if part.fee < 0 || part.fee > maxFee {
				k.add("PRAC-FEE-RANGE", part.path, strconv.FormatInt(part.fee, 10), "a fee is between 0 and %d", maxFee)
			}
		}
	}
	if len(p.Fees) > 0 && p.Currency == "" {
		k.add("PRAC-CURRENCY", "currency", "", "there are fees but no currency")
	}
}

func (k *check) closures(path string, list []Closure) {
	for i, c := range list {
		p := at(path, i)
		k.date("PRAC-CLOSURE", p+".from", c.From)
		k.date("PRAC-CLOSURE", p+".to", c.To)
		if c.From.Exists() && c.To.Exists() && c.To.Before(c.From) {
			k.add("PRAC-DATES", p+".to", c.To.String(), "%s lies before %s", c.To, c.From)
		}
	}
}

// zone checks the form of an IANA time zone name: Area/Place, or UTC.
func (k *check) zone(s string) {
	if s == "" || s == "UTC" {
		return
	}
	parts := strings.Split(s, "/")
	good := len(parts) >= 2 && len(parts) <= 3 && len(s) <= 64
	for _, part := range parts {
		good = good && part != "" && only(part, letters+digits+"_+-")
	}
	if !good || !zoneExists(s) {
		k.add("PRAC-TIME-ZONE", "time_zone", s, "%q is not a time zone such as Europe/Madrid", s)
	}
}

func (k *check) address(s string) {
	if s == "" {
		return
	}
	u, err := url.Parse(s)
	if err != nil || u.Scheme != "https" || u.Host == "" || u.User != nil || u.RawQuery != "" || u.Fragment != "" || strings.ContainsAny(s, " \"'<>\\") {
		k.add("PRAC-ADDRESS", "base_address", s, "%q is not a plain https address", s)
	}
}

func (k *check) figures(p Practice) {
	for _, id := range slices.Sorted(maps.Keys(p.Figures)) {
		f, path := p.Figures[id], "figures."+id
		unit, known := k.v.Figures[id]
		if !known {
			k.add("PRAC-FIGURE", path, id, "%q is not a figure that a practice sets", id)
		}
		var given []float64
		for _, x := range []*float64{f.Low, f.Likely, f.High} {
			if x != nil {
				given = append(given, *x)
			}
		}
		if !slices.IsSorted(given) {
			k.add("PRAC-FIGURE-ORDER", path, id, "low, likely and high must not fall")
		}
		for _, x := range given {
			if top := limit(unit); !(x >= 0 && x <= top) {
				k.add("PRAC-FIGURE-RANGE", path, id, "%v is not between 0 and %v", x, top)
			}
		}
		if f.Likely == nil {
			k.add("PRAC-FIGURE-LIKELY", path, id, "the likely value is missing")
		}
	}
}

// limit is the largest value that makes sense in a unit.
func limit(unit string) float64 {
	switch unit {
	case "fraction":
		return 1
	case "percent":
		return 100
	}
	return maxCount
}

// wordings checks sentences of the practice's own, those under the key name of the file.
func (k *check) wordings(name string, all map[string]map[string]any) {
	for _, locale := range slices.Sorted(maps.Keys(all)) {
		k.locale(name+"."+locale, locale)
		for _, id := range slices.Sorted(maps.Keys(all[locale])) {
			path := name + "." + locale + "." + id
			switch w := all[locale][id].(type) {
			case string:
				k.wording(path, w)
			case map[string]any:
				for _, form := range slices.Sorted(maps.Keys(w)) {
					s, isText := w[form].(string)
					if !isText || !slices.Contains(pluralForms, form) {
						k.add("PRAC-WORDING", path+"."+form, form, "a wording is a text or its plural forms")
					} else {
						k.wording(path+"."+form, s)
					}
				}
				if _, found := w["other"]; !found {
					k.add("PRAC-WORDING", path, "other", `the plural form "other" is missing`)
				}
			default:
				k.add("PRAC-WORDING", path, "", "a wording is a text or its plural forms")
			}
		}
	}
}

// sources checks what the practice's sentences were translated from.
func (k *check) sources(p Practice) {
	for _, locale := range slices.Sorted(maps.Keys(p.WordingSources)) {
		k.locale("wording_sources."+locale, locale)
		for _, id := range slices.Sorted(maps.Keys(p.WordingSources[locale])) {
			path := "wording_sources." + locale + "." + id
			text, _ := p.WordingSources[locale][id].(string)
			from, digest, _ := strings.Cut(text, " ")
			k.locale(path, from)
			if !hex(digest, 16) {
				k.add("PRAC-DIGEST", path, "", "this is not a language and a digest of a wording")
			}
		}
	}
}

// approved checks the digests of approved sentences.
func (k *check) approved(p Practice) {
	for _, locale := range slices.Sorted(maps.Keys(p.Approved)) {
		k.locale("approved."+locale, locale)
		for _, id := range slices.Sorted(maps.Keys(p.Approved[locale])) {
			text, _ := p.Approved[locale][id].(string)
			sentence, beside, two := strings.Cut(text, " ")
			if !hex(sentence, 8) || two && !hex(beside, 8) {
				k.add("PRAC-DIGEST", "approved."+locale+"."+id, "", "this is not a digest of a sentence, or two")
			}
		}
	}
}

// hex reports whether s is n hexadecimal digits.
func hex(s string, n int) bool { return len(s) == n && only(s, digits+"abcdef") }

// wording checks a sentence of the practice's own. Its placeholders look like
// code; which ones it may have is checked where wordings are loaded.
func (k *check) wording(path, s string) {
	if blank(s) {
		k.add("TEXT-BLANK", path, "", "the text is blank")
	}
	k.plain(path, s)
}
