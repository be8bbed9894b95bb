package e2e

import (
	"bytes"
	"crypto/aes"
	"crypto/cipher"
	"crypto/pbkdf2"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"golang.org/x/text/unicode/norm"

	"plainleaf/build/browser"
)

// sealedBox is a part of an envelope that is encrypted.
type sealedBox struct{ IV, Data []byte }

// envelope is a kept case as its schema describes it.
type envelope struct {
	Version     int
	ID          string
	Date        string
	Days, Teeth int
	Expires     string
	Locks       []struct {
		Kind, Extra   string
		Iterations    int
		Salt, IV, Key []byte
	}
	About *sealedBox
	sealedBox
	Tablet *sealedBox
}

// byHand opens an envelope as the head of app/shell/keep.js says, with nothing of
// the program. A recovery key is given without spaces.
func byHand(t *testing.T, data []byte, kind, secret string) (text string, about map[string]any) {
	t.Helper()
	var e envelope
	if err := json.Unmarshal(data, &e); err != nil {
		t.Fatal(err)
	}
	open := func(key, iv, data []byte, extra string) []byte {
		block, err := aes.NewCipher(key)
		if err != nil {
			t.Fatal(err)
		}
		gcm, err := cipher.NewGCM(block)
		if err != nil {
			t.Fatal(err)
		}
		out, err := gcm.Open(nil, iv, data, []byte(extra))
		if err != nil {
			t.Fatalf("%q: %v", extra, err)
		}
		return out
	}
	for _, lock := range e.Locks {
		if lock.Kind != kind {
			continue
		}
		k1, err := pbkdf2.Key(sha256.New, norm.NFC.String(secret), lock.Salt, lock.Iterations, 32)
		if err != nil {
			t.Fatal(err)
		}
		if e.Version == 1 {
			k2 := open(k1, lock.IV, lock.Key, "plainleaf-kept 1 "+e.ID+" "+kind)
			return string(open(k2, e.IV, e.Data, "plainleaf-kept 1 "+e.ID)), nil
		}
		k2 := open(k1, lock.IV, lock.Key, lock.Extra)
		header := fmt.Sprintf("plainleaf-kept 2 %s %s %d %s %d", e.ID, e.Date, e.Days, e.Expires, e.Teeth)
		if err := json.Unmarshal(open(k2, e.About.IV, e.About.Data, header+" about"), &about); err != nil {
			t.Fatal(err)
		}
		return string(open(k2, e.IV, e.Data, header+" case")), about
	}
	t.Fatalf("no lock of kind %s", kind)
	return "", nil
}

func keptSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	s, err := c.Compile("../../content/schema/kept.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func keptForm(t *testing.T, data []byte) error {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return keptSchema(t).Validate(v)
}

// label is what the practice writes on the kept case of these tests.
const label = "Chart 4711 ñ"

// labeled keeps the demo case under the label.
func labeled(tab *browser.Tab) (recovery, id string) {
	demo(tab, "en")
	return keepNow(tab)
}

// keepNow keeps the open case under the label.
func keepNow(tab *browser.Tab) (recovery, id string) {
	tab.Click("#keep-here")
	fill(tab, "keep-label", label)
	tab.Wait(`document.getElementById("keep-label").value === ` + quote(label))
	fill(tab, "keep-phrase", passphrase)
	fill(tab, "keep-again", passphrase)
	tab.Click("#keep-go")
	tab.Wait(`document.getElementById("recovery")`)
	recovery = strings.ReplaceAll(text(tab, "#recovery"), " ", "")
	tab.Click("#recovery-done")
	ready(tab, "en", "case")
	tab.Wait(`document.querySelector("#kept [data-kept] .kept-label")`)
	return recovery, browser.Eval[string](tab, `document.querySelector("#kept [data-kept]:has(.kept-label)").dataset.kept`)
}

func onDayOpen(t *testing.T) (*browser.Server, *browser.Tab) {
	t.Helper()
	srv, tab := open(t)
	onDay(tab, keptDay)
	return srv, tab
}

// The list says on this device what a case is called, how far it has come and what
// is next. Nobody else can read it without the passphrase.
func TestTheListOfKeptCasesTellsThemApart(t *testing.T) {
	srv, tab := onDayOpen(t)
	recovery, id := labeled(tab)
	entry := func() string { return text(tab, "#kept [data-kept]") }
	for _, want := range []string{label, "Deciding", "Next: First talk and check-up, December 1, 2026"} {
		if !strings.Contains(entry(), want) {
			t.Errorf("%q is not in %q", want, entry())
		}
	}
	written(t, tab)
	if found := holding(stored(tab), "4711", "deciding", "consultation"); len(found) > 0 {
		t.Errorf("in the clear: %q", found)
	}
	if got := len(files(stored(tab), "tablet-")); got != 1 {
		t.Errorf("%d keys of the tablet", got)
	}
	file := savedAny(t, tab, "#keep-file", "case-")
	if err := keptForm(t, file); err != nil {
		t.Error(err)
	}
	if bytes.Contains(file, []byte("4711")) || bytes.Contains(file, []byte(`"tablet"`)) {
		t.Error("the file tells the label or holds what is the tablet's")
	}
	for kind, secret := range map[string]string{"passphrase": passphrase, "recovery": recovery} {
		got, about := byHand(t, file, kind, secret)
		next, _ := about["next"].(map[string]any)
		if !strings.Contains(got, "mi hermana") || about["label"] != label || about["stage"] != "deciding" || next["date"] != keptDay {
			t.Errorf("%s: opened by hand %.100s %v", kind, got, about)
		}
	}
	// The stage follows the case.
	walk(tab, "en", "visit")
	tab.Click("label:has(#stage-agreed)")
	written(t, tab)
	walk(tab, "en", "")
	wipe := func() {
		tab.Click("#clear")
		nextPatient(tab)
	}
	wipe()
	tab.Wait(`document.getElementById("kept").textContent.includes("Agreed")`)
	// Without its key the tablet shows the case as one it knows nothing about; the
	// case still has its label.
	browser.Eval[bool](tab, stores+`.then((db) => new Promise((done) => {
		const t = db.transaction("setting", "readwrite");
		t.objectStore("setting").delete("tablet");
		t.oncomplete = () => { db.close(); done(true); };
	}))`)
	tab.Reload()
	ready(tab, "en", "case")
	tab.Wait(`document.querySelector("#kept [data-kept]")`)
	if e := entry(); strings.Contains(e, "4711") || !strings.Contains(e, id) {
		t.Errorf("without the key: %q", e)
	}
	tab.Click("#open-" + id)
	fill(tab, "open-phrase", passphrase)
	tab.Click("#open-go")
	chosen(tab, 10)
	tab.Click("#tooth-26")
	chosen(tab, 11)
	written(t, tab)
	wipe()
	tab.Wait(`document.getElementById("kept").textContent.includes(` + quote(label) + `)`)
	tidy(t, srv, tab)
}

// stores opens the database of the program.
const stores = `new Promise((done, fail) => { const q = indexedDB.open("plainleaf /"); q.onsuccess = () => done(q.result); q.onerror = () => fail(q.error); })`

// What the header says cannot be changed unnoticed, and is not taken for a wrong
// passphrase.
func TestAChangedHeaderIsTold(t *testing.T) {
	srv, tab := onDayOpen(t)
	labeled(tab)
	file := string(savedAny(t, tab, "#keep-file", "case-"))
	answer := func(file, secret string) string {
		return browser.Eval[string](tab, `plainleafKeep.openFile(`+quote(file)+`, `+quote(secret)+`).then((a) => (({ok, why}) => ok ? "open" : why)(JSON.parse(a)))`)
	}
	if got := answer(file, passphrase); got != "open" {
		t.Fatalf("unchanged: %s", got)
	}
	if got := answer(format(t, "kept-2.json"), keptPhrase); got != "open" {
		t.Errorf("kept-2.json: %s", got)
	}
	if got := answer(file, "another passphrase"); got != "wrong" {
		t.Errorf("a wrong passphrase: %s", got)
	}
	var e map[string]any
	if err := json.Unmarshal([]byte(file), &e); err != nil {
		t.Fatal(err)
	}
	about, data := e["about"].(map[string]any), e["data"]
	for name, change := range map[string]func(map[string]any){
		"id":            func(e map[string]any) { e["id"] = "AAAA-BBBB" },
		"version":       func(e map[string]any) { e["version"] = 1 },
		"older in form": func(e map[string]any) { e["version"] = 1; delete(e, "about") },
		"date":          func(e map[string]any) { e["date"] = "2026-11-30" },
		"days":          func(e map[string]any) { e["days"] = 365 },
		"expires":       func(e map[string]any) { e["expires"] = "2036-01-01" },
		"teeth":         func(e map[string]any) { e["teeth"] = 7 },
		"no date":       func(e map[string]any) { delete(e, "date") },
		"no about":      func(e map[string]any) { delete(e, "about") },
		"parts swapped": func(e map[string]any) {
			e["about"] = map[string]any{"iv": e["iv"], "data": data}
			e["iv"], e["data"] = about["iv"], about["data"]
		},
	} {
		changed := map[string]any{}
		for k, v := range e {
			changed[k] = v
		}
		change(changed)
		b, err := json.Marshal(changed)
		if err != nil {
			t.Fatal(err)
		}
		if got := answer(string(b), passphrase); got != "altered" {
			t.Errorf("%s: %s", name, got)
		}
	}
	upload(t, tab, "open-case", "changed.json", []byte(strings.Replace(file, `"teeth": 10`, `"teeth": 9`, 1)))
	fill(tab, "open-phrase", passphrase)
	tab.Click("#open-go")
	tab.Wait(`document.getElementById("open-phrase-fault")`)
	if got := text(tab, "#open-phrase-fault"); !strings.Contains(got, "changed or damaged") {
		t.Errorf("told %q", got)
	}
	tidy(t, srv, tab)
}

// A kept case of version 1 is written as version 2 when it is changed, and opens
// with what it opened with before.
func TestAKeptCaseOfVersionOneIsWrittenAnew(t *testing.T) {
	_, tab := seeded(t, "")
	tab.Goto("/en/")
	ready(tab, "en", "cover")
	fill(tab, "cover-phrase", keptPhrase)
	tab.Click("#cover-go")
	ready(tab, "en", "case")
	chosen(tab, 10)
	tab.Click("#tooth-26")
	chosen(tab, 11)
	written(t, tab)
	now := func() string {
		return browser.Eval[string](tab, stores+`.then((db) => new Promise((done) => {
			const q = db.transaction("kept").objectStore("kept").get(`+quote(keptID)+`);
			q.onsuccess = () => { db.close(); done(JSON.stringify(q.result)); };
		}))`)
	}
	data := now()
	var e envelope
	if err := json.Unmarshal([]byte(data), &e); err != nil || e.Version != 2 || e.Teeth != 11 || e.Days != 180 || e.Tablet != nil {
		t.Fatalf("%v: %.400s", err, data)
	}
	if err := keptForm(t, []byte(data)); err != nil {
		t.Error(err)
	}
	for kind, secret := range map[string]string{"passphrase": keptPhrase, "recovery": strings.ReplaceAll(keptRecovery, " ", "")} {
		if got, about := byHand(t, []byte(data), kind, secret); !strings.Contains(got, keptName) || about["stage"] != "agreed" {
			t.Errorf("%s: %.100s %v", kind, got, about)
		}
	}
	walk(tab, "en", "")
	wiped(tab)
	if got := text(tab, "#kept"); !strings.Contains(got, "11 teeth") || !strings.Contains(got, "Agreed") {
		t.Errorf("the list: %q", got)
	}
	// A lock of the tablet opens nothing yet, stays with the case and goes into no file.
	browser.Eval[bool](tab, stores+`.then((db) => new Promise((done) => {
		const t = db.transaction("kept", "readwrite"), s = t.objectStore("kept");
		s.get(`+quote(keptID)+`).onsuccess = (e) => {
			const kept = e.target.result;
			kept.locks.unshift({ kind: "tablet", extra: "plainleaf-kept 2 tablet", iv: kept.iv, key: kept.locks[0].key });
			s.put(kept, kept.id);
		};
		t.oncomplete = () => { db.close(); done(true); };
	}))`)
	for _, secret := range []string{keptRecovery, keptPhrase} {
		tab.Click("#open-" + keptID)
		fill(tab, "open-phrase", secret)
		tab.Click("#open-go")
		chosen(tab, 11)
		tab.Click("#tooth-26")
		chosen(tab, 10)
		tab.Click("#tooth-26")
		chosen(tab, 11)
		written(t, tab)
		if err := json.Unmarshal([]byte(now()), &e); err != nil || len(e.Locks) != 3 || e.Locks[0].Kind != "tablet" {
			t.Errorf("%v: the locks are %+v", err, e.Locks)
		}
		if err := keptForm(t, []byte(now())); err != nil {
			t.Error(err)
		}
		if file := savedAny(t, tab, "#keep-file", "case-"); bytes.Contains(file, []byte("tablet")) {
			t.Error("a file has what is the tablet's")
		}
		wiped(tab)
	}
}

// A window that still runs the program of version 1 and has the draft can write
// until it lets go; only then the database is changed.
func TestAWindowOfVersionOneLosesNothing(t *testing.T) {
	b := browser.Open(t, browser.Serve(t, browser.Site(t, browser.Options(t))))
	old, tab := b.Tab(), b.Tab()
	old.Goto("/worker.js")
	seed(t, old, format(t, "draft-1.json"))
	browser.Eval[bool](old, stores+`.then((db) => new Promise((done) => {
		db.onversionchange = () => { window.shutOut = true; db.close(); };
		const channel = new BroadcastChannel("plainleaf /");
		navigator.locks.request("plainleaf /", () => new Promise((free) => {
			channel.onmessage = (e) => {
				if (e.data === "who") channel.postMessage("here");
				if (e.data !== "give") return;
				const t = db.transaction("setting", "readwrite"); // what it writes last
				t.objectStore("setting").put(`+quote(strings.Replace(format(t, "kept-settings-1.json"), "Maple", "Cedar", 1))+`, "practice");
				t.oncomplete = free;
			};
			done(true);
		}));
	}))`)
	onDay(tab, keptDay)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	tab.Wait(`document.getElementById("elsewhere")`)
	version := func() int {
		return browser.Eval[int](tab, `indexedDB.databases().then((all) => all.find((d) => d.name === "plainleaf /").version)`)
	}
	if browser.Eval[bool](old, `!!window.shutOut`) || version() != 1 {
		t.Error("the earlier program was shut out of the database")
	}
	tab.Click("#take-over")
	chosen(tab, 10)
	tab.Wait(`document.querySelector("#kept [data-kept=` + keptID + `]")`)
	if version() != 2 || !browser.Eval[bool](old, `window.shutOut`) {
		t.Error("the database was not brought to version 2")
	}
	tab.Reload()
	ready(tab, "en", "case")
	walk(tab, "en", "practice")
	if got := browser.Eval[string](tab, `document.getElementById("practice-name").value`); !strings.Contains(got, "Cedar") {
		t.Errorf("what the earlier program wrote last is lost: %q", got)
	}
}

// Where the index cannot be written, the kept cases are listed all the same.
func TestNoRoomForTheIndex(t *testing.T) {
	_, tab := seeded(t, format(t, "draft-1.json"))
	tab.OnNewDocument(`(() => {
		const put = IDBObjectStore.prototype.put;
		IDBObjectStore.prototype.put = function (...a) {
			if (this.name === "index") this.transaction.abort();
			return put.apply(this, a);
		};
	})()`)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	chosen(tab, 10)
	tab.Wait(`document.querySelector("#kept [data-kept=` + keptID + `]")`)
}

// What is committed opens by the steps written down, and has the published form.
func TestFormatsOfKeptCasesByHand(t *testing.T) {
	draft := format(t, "draft-1.json")
	var kept, base struct {
		Case   json.RawMessage
		Stores map[string]map[string]json.RawMessage
	}
	if err := json.Unmarshal([]byte(draft), &kept); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(format(t, "database-1.json")), &base); err != nil {
		t.Fatal(err)
	}
	second := []byte(format(t, "kept-2.json"))
	for _, x := range []struct {
		name     string
		data     []byte
		recovery string
	}{
		{"kept-1.json", []byte(format(t, "kept-1.json")), keptRecovery},
		{"database-1.json", base.Stores["kept"][keptID], keptRecovery},
		{"kept-2.json", second, "56AU GRRT OI2Y JRUC M5QU GVYT REFJ 6X6R"},
	} {
		if err := keptForm(t, x.data); err != nil {
			t.Errorf("%s: %v", x.name, err)
		}
		for kind, secret := range map[string]string{"passphrase": keptPhrase, "recovery": strings.ReplaceAll(x.recovery, " ", "")} {
			got, about := byHand(t, x.data, kind, secret)
			if !strings.Contains(got, string(kept.Case)) {
				t.Errorf("%s, %s: not the case of draft-1.json: %.200s", x.name, kind, got)
			}
			if x.name == "kept-2.json" && (about["label"] != label || about["stage"] != "agreed") {
				t.Errorf("%s: %v", x.name, about)
			}
		}
	}
	for _, pair := range [][2]string{
		{`"version": 2`, `"version": 3`}, {`"version": 2`, `"version": 1`}, {`"teeth": 10`, `"teeth": "10"`}, {`"teeth": 10`, `"teeth": 10, "name": "x"`},
		{`"AES-256-GCM"`, `"none"`}, {`"2026-12-01"`, `"2026-11-31"`}, {`"kind": "recovery"`, `"kind": "third"`}, {`"about"`, `"abaut"`}, {"SMP6-NVHB", "abc"},
	} {
		if in := strings.Replace(string(second), pair[0], pair[1], 1); in == string(second) || keptForm(t, []byte(in)) == nil {
			t.Errorf("%s: the schema lets it pass, or nothing was changed", pair[1])
		}
	}
}

// counting counts what a start reads of the kept cases.
const counting = `window.__read = {};
for (const how of ["get", "getAll", "openCursor", "getAllRecords"]) {
	const real = IDBObjectStore.prototype[how];
	if (real) IDBObjectStore.prototype[how] = function (...a) {
		window.__read[this.name] = (window.__read[this.name] || 0) + 1;
		return real.apply(this, a);
	};
}`

// crowd makes n kept cases of a database of version 1 out of the one in it.
func crowd(tab *browser.Tab, n int) {
	browser.Eval[bool](tab, fmt.Sprintf(`%s.then((db) => new Promise((done) => {
		const t = db.transaction("kept", "readwrite"), s = t.objectStore("kept");
		s.get(%q).onsuccess = (e) => {
			for (let i = 0; i < %d; i++) {
				const id = "AAAA-" + [6, 4, 2, 0].map((b) => "ABCDEFGHIJ"[(i >> b) & 3]).join("");
				s.put({ ...e.target.result, id, teeth: 1 + i %% 28 }, id);
			}
		};
		t.oncomplete = () => { db.close(); done(true); };
	}))`, stores, keptID, n))
}

// A start reads the index, however many cases are kept; one that is missing, or
// does not agree with the envelopes, is made anew and nothing is lost.
func TestAStartReadsNoEnvelope(t *testing.T) {
	_, tab := seeded(t, format(t, "draft-1.json"), func(tab *browser.Tab) { crowd(tab, 30) })
	tab.OnNewDocument(counting)
	start := func(what string, want int) {
		t.Helper()
		tab.Goto("/en/")
		ready(tab, "en", "case")
		chosen(tab, 10)
		list := browser.Eval[[]string](tab, `[...document.querySelectorAll("#kept [data-kept]")].map((e) => e.dataset.kept + e.textContent)`)
		if len(list) != 31 || !slices.ContainsFunc(list, func(s string) bool { return strings.HasPrefix(s, keptID) && strings.Contains(s, "10 teeth") }) {
			t.Errorf("%s: the list has %d cases: %q", what, len(list), list)
		}
		if got := browser.Eval[int](tab, `window.__read.kept || 0`); got != want {
			t.Errorf("%s: the kept cases were read %d times, want %d", what, got, want)
		}
		if got := browser.Eval[int](tab, `window.__read.index || 0`); got == 0 {
			t.Errorf("%s: the index was not read, so nothing was counted", what)
		}
	}
	start("version 1", 1)
	start("from then on", 0)
	for what, change := range map[string]string{
		"empty":                `s.clear()`,
		"a row missing":        `s.delete("` + keptID + `")`,
		"a row too many":       `s.put({id: "ZZZZ-ZZZZ", date: "2026-11-30", expires: "2027-11-30", teeth: 3}, "ZZZZ-ZZZZ")`,
		"a row that is no row": `s.put("x", "` + keptID + `")`,
	} {
		browser.Eval[bool](tab, stores+`.then((db) => new Promise((done) => {
			const t = db.transaction("index", "readwrite"), s = t.objectStore("index");
			`+change+`;
			t.oncomplete = () => { db.close(); done(true); };
		}))`)
		start(what, 1)
		start(what+", mended", 0)
	}
	// A row that says a case is past its day deletes nothing.
	browser.Eval[bool](tab, stores+`.then((db) => new Promise((done) => {
		const t = db.transaction("index", "readwrite"), s = t.objectStore("index");
		s.get("`+keptID+`").onsuccess = (e) => s.put({ ...e.target.result, expires: "2020-01-01" }, "`+keptID+`");
		t.oncomplete = () => { db.close(); done(true); };
	}))`)
	tab.Reload()
	ready(tab, "en", "case")
	tab.Wait(`document.querySelectorAll("#kept [data-kept]").length === 30`)
	if got := text(tab, "#notices"); !strings.Contains(got, "1 kept case is past its day") {
		t.Errorf("told %q", got)
	}
	tab.Click("#kept-past > summary")
	tab.Wait(`document.querySelector("#kept-past [data-kept=` + keptID + `]")`)
}

// What a newer program keeps is not called lost or damaged, and this one writes
// nothing over it: an open case, a kept one that was left open, a kept one whose
// envelope has not changed, and a file.
func TestWhatANewerProgramKeepsStays(t *testing.T) {
	const newer = `{"version": 99, "case": {"mouth": "told otherwise"}}`
	const said = "newer version of the program"
	_, tab := seeded(t, newer)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	tab.Wait(`document.getElementById("keep-none")`)
	if got := text(tab, "#keep-none"); !strings.Contains(got, said) {
		t.Errorf("told %q", got)
	}
	if got := text(tab, "#notices"); strings.Contains(got, "removed") {
		t.Errorf("called lost: %q", got)
	}
	before := stored(tab)["db draft text"]
	tab.Click("#tooth-11")
	chosen(tab, 1)
	written(t, tab)
	if got := stored(tab)["db draft text"]; got != before || before == "" {
		t.Errorf("the draft was written over: %.80q, before %.80q", got, before)
	}
	tab.Click("#clear")
	nextPatient(tab)
	written(t, tab)
	if got := stored(tab)["db draft text"]; got != before {
		t.Error("clearing this window takes away what it never showed")
	}

	_, tab = seeded(t, "", func(tab *browser.Tab) {
		browser.Eval[bool](tab, stores+`.then((db) => new Promise((done) => {
			const t = db.transaction("kept", "readwrite"), s = t.objectStore("kept");
			s.get(`+quote(keptID)+`).onsuccess = (e) => s.put({ ...e.target.result, version: 99 }, `+quote(keptID)+`);
			t.oncomplete = () => { db.close(); done(true); };
		}))`)
	})
	tab.Goto("/en/")
	ready(tab, "en", "cover")
	fill(tab, "cover-phrase", keptPhrase)
	tab.Click("#cover-go")
	tab.Wait(`document.getElementById("cover-phrase-fault")`)
	if got := text(tab, "#cover-phrase-fault"); !strings.Contains(got, said) {
		t.Errorf("told %q", got)
	}
	tab.Click("#cover-shut")
	ready(tab, "en", "case")

	meta := quote(`{"date": "2026-12-01", "teeth": 1, "days": 30, "label": "", "stage": "deciding"}`)
	file := browser.Eval[string](tab, `plainleafKeep.file(`+meta+`, `+quote(keptPhrase)+`, `+quote(newer)+`).then((a) => JSON.parse(a).text)`)
	id := browser.Eval[string](tab, `plainleafKeep.keep(`+meta+`, `+quote(keptPhrase)+`, `+quote(newer)+`).then((a) => JSON.parse(a).id)`)
	tab.Reload()
	ready(tab, "en", "cover")
	tab.Click("#cover-shut")
	ready(tab, "en", "case")
	tab.Click("#open-" + id)
	fill(tab, "open-phrase", keptPhrase)
	tab.Click("#open-go")
	tab.Wait(`document.querySelector("#notices .notice")`)
	if got := text(tab, "#notices"); !strings.Contains(got, said) {
		t.Errorf("of a kept case: %q", got)
	}
	tab.Wait(`document.getElementById("open-` + id + `")`)
	upload(t, tab, "open-case", "newer.json", []byte(file))
	fill(tab, "open-phrase", keptPhrase)
	tab.Click("#open-go")
	tab.Wait(`document.getElementById("open-phrase-fault")`)
	if got := text(tab, "#open-phrase-fault"); !strings.Contains(got, said) {
		t.Errorf("of a file: %q", got)
	}
}
