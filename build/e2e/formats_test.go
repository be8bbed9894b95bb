package e2e

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"plainleaf/build/browser"
)

// The case of testdata/formats, whose README describes the files.
const (
	formats      = "../../testdata/formats/"
	keptID       = "UGVZ-VMSU"
	keptPhrase   = "four words by heart é"
	keptRecovery = "UNDU MY6X AJYJ B2VH KSTV G3GS UW4T FHUJ"
	keptCode     = "R7MH-TYE2-F453-BWV3"
	keptName     = "Testperson Demo"
	keptDay      = "2026-12-01" // a day on which the tablet still has it
)

func format(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile(formats + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// onDay has every page of a tab start at noon of a day.
func onDay(tab *browser.Tab, day string) {
	tab.OnNewDocument(fmt.Sprintf(`(() => {
		const Real = Date, ahead = Real.parse(%q) - Real.now();
		window.Date = class extends Real {
			constructor(...a) { a.length ? super(...a) : super(Real.now() + ahead); }
			static now() { return Real.now() + ahead; }
		};
	})()`, day+"T12:00:00Z"))
}

// seeded opens a tab, on keptDay, of a browser with a database of version 1: with
// a draft, or with the kept case left open when there is none; more adds to it.
func seeded(t *testing.T, draft string, more ...func(*browser.Tab)) (*browser.Server, *browser.Tab) {
	t.Helper()
	srv := browser.Serve(t, browser.Site(t, browser.Options(t)))
	b := browser.Open(t, srv)
	first := b.Tab()
	first.Goto("/worker.js") // of the origin, and not the program
	seed(t, first, draft)
	for _, add := range more {
		add(first)
	}
	first.Close()
	tab := b.Tab()
	size(t, tab, 768, 1024, true)
	onDay(tab, keptDay)
	return srv, tab
}

func seed(t *testing.T, tab *browser.Tab, draft string) {
	t.Helper()
	browser.Eval[bool](tab, `(async () => {
		const dump = `+format(t, "database-1.json")+`, draft = `+quote(draft)+`;
		const db = await new Promise((done, fail) => {
			const ask = indexedDB.open(dump.name, dump.version);
			ask.onupgradeneeded = () => { for (const store of Object.keys(dump.stores)) ask.result.createObjectStore(store); };
			ask.onsuccess = () => done(ask.result);
			ask.onerror = () => fail(ask.error);
		});
		if (draft) {
			const key = await crypto.subtle.generateKey({ name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
			const iv = crypto.getRandomValues(new Uint8Array(12)), utf8 = new TextEncoder();
			const data = await crypto.subtle.encrypt({ name: "AES-GCM", iv, additionalData: utf8.encode("plainleaf-draft 1") }, key, utf8.encode(draft));
			dump.stores.draft = { key, text: { iv, data: new Uint8Array(data) } };
		}
		const t = db.transaction(db.objectStoreNames, "readwrite");
		for (const [store, values] of Object.entries(dump.stores)) {
			for (const [key, value] of Object.entries(values)) t.objectStore(store).put(value, key);
		}
		await new Promise((done, fail) => { t.oncomplete = done; t.onabort = () => fail(t.error); });
		db.close();
		return true;
	})()`)
}

// rich holds the open case against what was written into testdata/formats. It
// starts and ends on the case screen.
func rich(t *testing.T, tab *browser.Tab) {
	t.Helper()
	chosen(tab, 10)
	if got := browser.Eval[string](tab, `document.getElementById("support").value`); got != "Large print and a second talk (demo)" {
		t.Errorf("what helps to decide: %q", got)
	}
	walk(tab, "en", "visit")
	tab.Wait(`document.getElementById("sitting-1-note")`)
	for _, x := range [][2]string{{"sitting-1-note", "A little lighter, please (demo)"}, {"departure-size", "0.3"}} {
		if got := browser.Eval[string](tab, fmt.Sprintf(`document.getElementById(%q).value`, x[0])); got != x[1] {
			t.Errorf("%s: %q, want %q", x[0], got, x[1])
		}
	}
	if !browser.Eval[bool](tab, `document.getElementById("app").textContent.includes("asked, and said yes (demo)")`) {
		t.Error("the step that was done is lost")
	}
	walk(tab, "en", "sheets")
	if got := browser.Eval[string](tab, `document.getElementById("person-name").value`); got != keptName {
		t.Errorf("the name is %q", got)
	}
	// A sheet may be worded anew: then what was sealed and signed is shown as that of
	// an earlier one.
	for _, x := range [][2]string{{"consent", keptCode}, {"tryin", keptName}} {
		tab.Click("label:has(#kind-" + x[0] + ")")
		tab.Wait(fmt.Sprintf(`document.getElementById("app").textContent.includes(%q)`, x[1]))
	}
	walk(tab, "en", "")
}

// settled mends what is half typed about the practice, which holds up the sheets.
func settled(tab *browser.Tab) {
	walk(tab, "en", "practice")
	typed(tab, "practice-time_zone", "Europe/Madrid")
	tab.Click("#numbers-yes")
	tab.Wait(`!document.getElementById("numbers-change")`)
	walk(tab, "en", "")
}

// wiped clears the open case, which has been signed.
func wiped(tab *browser.Tab) {
	tab.Click("#clear")
	nextPatient(tab)
}

// Everything that version 1 wrote is there after a start of this version: the
// draft, the practice, the kept case by either secret, and the encrypted file.
func TestFormatsOfVersionOne(t *testing.T) {
	srv, tab := seeded(t, format(t, "draft-1.json"))
	tab.Goto("/en/")
	ready(tab, "en", "case")
	if got := text(tab, "#notices .notice"); got != "Your open case was brought back." {
		t.Errorf("the notice says %q", got)
	}
	chosen(tab, 10)

	var settings struct {
		Practice struct{ Name, Telephone string }
		Minutes  int
		Typed    map[string]string
	}
	if err := json.Unmarshal([]byte(format(t, "kept-settings-1.json")), &settings); err != nil {
		t.Fatal(err)
	}
	walk(tab, "en", "practice")
	tab.Wait(`document.getElementById("numbers-change")`)
	if got := text(tab, "#numbers-change"); !strings.Contains(got, settings.Typed["emergency_line"]) {
		t.Errorf("the number that waits for a yes: %q", got)
	}
	for id, want := range map[string]string{"practice-name": settings.Practice.Name, "practice-telephone": settings.Practice.Telephone,
		"practice-minutes": fmt.Sprint(settings.Minutes), "fee-no-prep-per_tooth": "987.50", "practice-time_zone": "Nowhere/Town"} {
		if got := browser.Eval[string](tab, fmt.Sprintf(`document.getElementById(%q).value`, id)); got != want {
			t.Errorf("%s: %q, want %q", id, got, want)
		}
	}
	walk(tab, "en", "records")
	tab.Wait(`document.getElementById("key-code")`)
	settled(tab)
	rich(t, tab)

	wiped(tab)
	for _, secret := range []string{keptPhrase, keptRecovery} {
		tab.Wait(fmt.Sprintf(`document.querySelector("#kept [data-kept=%s]")`, keptID))
		tab.Click("#open-" + keptID)
		fill(tab, "open-phrase", secret)
		tab.Click("#open-go")
		chosen(tab, 10)
		wiped(tab)
	}
	for i, secret := range []string{keptPhrase, keptRecovery} {
		upload(t, tab, "open-case", fmt.Sprintf("file-%d.json", i), []byte(format(t, "kept-1.json")))
		fill(tab, "open-phrase", secret)
		tab.Click("#open-go")
		chosen(tab, 10)
		if i == 0 {
			rich(t, tab)
		}
		wiped(tab)
	}
	tidy(t, srv, tab)
}

// A kept case that version 1 left open asks for its passphrase.
func TestFormatsOfVersionOneLeftOpen(t *testing.T) {
	_, tab := seeded(t, "")
	tab.Goto("/en/")
	ready(tab, "en", "cover")
	fill(tab, "cover-phrase", keptPhrase)
	tab.Click("#cover-go")
	ready(tab, "en", "case")
	settled(tab)
	rich(t, tab)
}

func TestFormatsOfAHalfTypedDraft(t *testing.T) {
	_, tab := seeded(t, format(t, "draft-1-half-typed.json"))
	tab.Goto("/en/")
	ready(tab, "en", "case")
	chosen(tab, 6)
	if m := sown(tab); len(m) > 0 {
		t.Errorf("lost %q", m)
	}
	if got := browser.Eval[string](tab, `document.getElementById("case-file-text").value`); !strings.Contains(got, `"tooth": "19"`) {
		t.Errorf("the refused file: %.100q", got)
	}
}
