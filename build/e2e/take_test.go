package e2e

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"io"
	"mime"
	"mime/multipart"
	"net/mail"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"
	cdbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"plainleaf/build/browser"
)

// down clicks a button and gives the one file that comes with it, by any name.
func down(t *testing.T, tab *browser.Tab, button string) (name string, data []byte) {
	t.Helper()
	dir := t.TempDir()
	_, err := chromedp.Call(tab.Ctx, cdbrowser.SetDownloadBehavior, cdbrowser.SetDownloadBehaviorParams{
		Behavior: cdbrowser.SetDownloadBehaviorBehaviorAllow, DownloadPath: dir,
	})
	if err != nil {
		t.Fatal(err)
	}
	tab.Click(button)
	for deadline := time.Now().Add(browser.Patience); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		files, _ := os.ReadDir(dir)
		for _, f := range files {
			if strings.HasSuffix(f.Name(), ".crdownload") {
				continue
			}
			if data, err := os.ReadFile(filepath.Join(dir, f.Name())); err == nil && len(data) > 0 {
				return f.Name(), data
			}
		}
	}
	t.Fatalf("%s saved nothing", button)
	return "", nil
}

// kindOf chooses the kind of sheet and waits for it.
func kindOf(tab *browser.Tab, kind string) {
	tab.Click("label:has(#kind-" + kind + ")")
	sheetReady(tab, kind)
}

// retype puts a text in place of what stands in a field.
func retype(tab *browser.Tab, id, text string) {
	tab.Wait(fmt.Sprintf(`document.getElementById(%q)`, id))
	browser.Eval[bool](tab, fmt.Sprintf(`(document.getElementById(%q).focus(), document.getElementById(%q).select(), true)`, id, id))
	press(tab, text)
	tab.Wait(fmt.Sprintf(`document.getElementById(%q).value === %q`, id, text))
}

func calendarOf(t *testing.T, data []byte) map[string][]*ics.VEvent {
	t.Helper()
	c, err := ics.ParseCalendar(bytes.NewReader(data))
	if err != nil {
		t.Fatalf("%v\n%s", err, data)
	}
	out := map[string][]*ics.VEvent{}
	for _, e := range c.Events() {
		s := e.GetProperty(ics.ComponentPropertyStatus).Value
		out[s] = append(out[s], e)
	}
	return out
}

func property(e *ics.VEvent, p ics.ComponentProperty) string {
	if x := e.GetProperty(p); x != nil {
		return x.Value
	}
	return ""
}

// The practice agrees on days, hands out the calendar and a mail draft, moves one
// day and takes one back: the next file moves and withdraws them. None of the
// names, subjects and titles says anything about health, and none of it says who
// the patient is.
func TestTakeHome(t *testing.T) {
	srv, tab := open(t)
	// A browser that shares files, as tablets do: what it is given is noted.
	tab.OnNewDocument(`Object.defineProperty(navigator, "canShare", { value: (x) => x.files.every((f) => f.type === "text/html") });
Object.defineProperty(navigator, "share", { value: async (x) => { window.__shared = { title: x.title, files: x.files.map((f) => f.name + " " + f.type), text: await x.files[0].text() }; } });`)
	demo(tab, "en")
	walk(tab, "en", "sheets")
	sheetReady(tab, "options")
	fill(tab, "person-name", "Testperson Lantern")
	if s := text(tab, "#calendar-none"); s == "(none)" {
		t.Error("nothing says why there is no calendar yet")
	}
	if s := text(tab, "#mail-permission"); !strings.Contains(s, "consent") {
		t.Errorf("the permission beside the button: %q", s)
	}

	// Agree on the first and the last visit.
	visits := browser.Eval[[]string](tab, `[...document.querySelectorAll("#agreed-list button")].map((b) => b.id)`)
	if len(visits) < 3 {
		t.Fatalf("visits %q", visits)
	}
	first, last := strings.TrimSuffix(visits[0], "-set"), strings.TrimSuffix(visits[len(visits)-1], "-set")
	tab.Click("#" + first + "-set")
	tab.Wait(fmt.Sprintf(`document.activeElement.id === %q`, first+"-date"))
	retype(tab, first+"-time", "9.5")
	tab.Wait(fmt.Sprintf(`document.querySelector("#%s-time-fault li") && document.getElementById("sheet-faults")`, first))
	retype(tab, first+"-time", "09:05")
	tab.Wait(`!document.getElementById("sheet-faults")`)
	tab.Click("#" + last + "-set")
	tab.Wait(`document.querySelectorAll("#calendar-holds li").length === 1`)
	sheetReady(tab, "options")
	name, data := down(t, tab, "#save-ics")
	if !regexp.MustCompile(`^dates-\d{4}-\d\d-\d\d\.ics$`).MatchString(name) {
		t.Errorf("the calendar is called %q", name)
	}
	one := calendarOf(t, data)
	if len(one["CONFIRMED"]) != 2 || len(one) != 1 {
		t.Fatalf("%s", data)
	}
	a := one["CONFIRMED"][0]
	if !strings.HasSuffix(property(a, ics.ComponentPropertyDtStart), "T090500") || property(a, ics.ComponentPropertySummary) != "Appointment at the practice" ||
		!bytes.Contains(data, []byte("BEGIN:VTIMEZONE")) {
		t.Errorf("%s", data)
	}

	// A reload keeps what was handed out; the last visit is taken back.
	written(t, tab)
	tab.Reload()
	ready(tab, "en", "sheets")
	tab.Click("#" + last + "-out")
	tab.Wait(`document.querySelectorAll("#calendar-holds li").length === 2`)
	_, data = down(t, tab, "#save-ics")
	two := calendarOf(t, data)
	if len(two["CONFIRMED"]) != 1 || len(two["CANCELLED"]) != 1 || property(two["CANCELLED"][0], ics.ComponentPropertyUniqueId) != property(one["CONFIRMED"][1], ics.ComponentPropertyUniqueId) ||
		number(t, two["CANCELLED"][0]) != number(t, a)+1 || property(two["CONFIRMED"][0], ics.ComponentPropertyUniqueId) != property(a, ics.ComponentPropertyUniqueId) {
		t.Errorf("%s", data)
	}
	// The order of the visits is watched.
	tab.Click("#" + last + "-set")
	retype(tab, last+"-date", "2026-11-27")
	tab.Wait(`document.querySelector('#agreed-fault [data-fault="CAL-ORDER"]') && !document.getElementById("save-ics")`)
	tab.Click("#" + last + "-out")
	tab.Wait(`document.getElementById("save-ics")`)

	// Mail: nobody but the one typed, nothing about health in the headers.
	kindOf(tab, "aftercare")
	fill(tab, "person-name", "Testperson Lantern")
	for _, bad := range []string{"a@b.example, c@d.example", "a@b.example%0D%0ABcc: c@d.example", "x", "a@b.example?bcc=c@d.example"} {
		retype(tab, "mail-to", bad)
		tab.Wait(`document.querySelector('#mail-to-fault [data-fault="MAIL-ADDRESS"]') && !document.getElementById("mailto")`)
		tab.Click("#save-eml")
		tab.Wait(`document.activeElement.id === "mail-to"`)
	}
	retype(tab, "mail-to", "patient@mail.example")
	tab.Wait(`document.getElementById("mailto")?.dataset.mailto.includes("mail.example?")`)
	if s := browser.Eval[string](tab, `document.getElementById("mailto").dataset.mailto`); !strings.HasPrefix(s, "mailto:patient@mail.example?subject=Your%20papers&body=") || len(s) > 1800 || strings.Contains(strings.ToLower(s), "dent") {
		t.Errorf("the short mail is %q", s)
	}
	name, data = down(t, tab, "#save-eml")
	if !regexp.MustCompile(`^papers-\d{4}-\d\d-\d\d\.eml$`).MatchString(name) {
		t.Errorf("the draft is called %q", name)
	}
	m, err := mail.ReadMessage(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if m.Header.Get("To") != "patient@mail.example" || m.Header.Get("Bcc") != "" || m.Header.Get("Cc") != "" || m.Header.Get("Subject") != "Your papers" || m.Header.Get("X-Unsent") != "1" {
		t.Errorf("%v", m.Header)
	}
	names, all := parts(t, m)
	if len(names) != 2 || !strings.HasPrefix(names[0], "papers-") || !strings.HasPrefix(names[1], "dates-") {
		t.Errorf("files %q", names)
	}
	if strings.Contains(all, "Testperson") || strings.Contains(string(data), "Testperson") {
		t.Error("the draft says who the patient is")
	}
	if !strings.Contains(all, "STATUS:CANCELLED") || !strings.Contains(all, "BEGIN:VCALENDAR") {
		t.Error("the draft has no dates")
	}

	// Shared: the sheet alone where the browser does not take a calendar.
	tab.Click("#share")
	tab.Wait(`window.__shared`)
	if s := browser.Eval[string](tab, `window.__shared.title + " | " + window.__shared.files`); !regexp.MustCompile(`^Your papers \| papers-\S+\.html text/html$`).MatchString(s) {
		t.Errorf("shared %q", s)
	}
	if browser.Eval[bool](tab, `window.__shared.text.includes("Testperson")`) {
		t.Error("what is shared says who the patient is")
	}
	// The recipient is kept nowhere, and gone with the case.
	written(t, tab)
	if h := holding(stored(tab), "patient@mail.example", "Testperson"); len(h) > 0 {
		t.Errorf("kept in %q", h)
	}
	clean(t, srv, tab)
}

// number is the SEQUENCE of an event.
func number(t *testing.T, e *ics.VEvent) int {
	t.Helper()
	n, err := strconv.Atoi(property(e, ics.ComponentPropertySequence))
	if err != nil {
		t.Error(err)
	}
	return n
}

// parts gives the names of the files of a mail and all its text.
func parts(t *testing.T, m *mail.Message) (names []string, all string) {
	t.Helper()
	var walk func(kind string, body io.Reader)
	walk = func(kind string, body io.Reader) {
		_, params, err := mime.ParseMediaType(kind)
		if err != nil {
			t.Fatal(err)
		}
		for r := multipart.NewReader(body, params["boundary"]); ; {
			p, err := r.NextPart()
			if err == io.EOF {
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if kind := p.Header.Get("Content-Type"); strings.HasPrefix(kind, "multipart/") {
				walk(kind, p)
				continue
			}
			var body io.Reader = p
			if p.Header.Get("Content-Transfer-Encoding") == "base64" {
				body = base64.NewDecoder(base64.StdEncoding, p)
			}
			data, err := io.ReadAll(body)
			if err != nil {
				t.Fatal(err)
			}
			all += string(data)
			if n := p.FileName(); n != "" {
				names = append(names, n)
			}
		}
	}
	walk(m.Header.Get("Content-Type"), m.Body)
	return names, all
}

// scan reads a picture with zbarimg, an independent reader.
func scan(t *testing.T, file string) string {
	t.Helper()
	if _, err := exec.LookPath("zbarimg"); err != nil {
		t.Fatal("zbarimg is needed for this test; install zbar-tools")
	}
	out, err := exec.Command("zbarimg", "--quiet", "--raw", "-Sdisable", "-Sqrcode.enable", file).Output()
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	return strings.TrimSuffix(string(out), "\n")
}

// codeOnScreen shows the care at home of the demo case in a language and reads
// its code from a picture of the screen.
func codeOnScreen(t *testing.T, tab *browser.Tab, lang string) string {
	t.Helper()
	demo(tab, lang)
	walk(tab, lang, "sheets")
	sheetReady(tab, "options")
	if s := text(tab, "#code-other"); s == "(none)" {
		t.Error("nothing says which sheet has the code")
	}
	kindOf(tab, "aftercare")
	tab.Wait(`document.getElementById("code")`)
	browser.Eval[bool](tab, `(document.getElementById("code").scrollIntoView({ block: "center" }), true)`)
	file := filepath.Join(t.TempDir(), "screen.png")
	tab.Screenshot(file)
	got := scan(t, file)
	if want := text(tab, "#code-text"); got != want {
		t.Errorf("the picture says %q, the text %q", got, want)
	}
	return got
}

const demoBase = "https://plainleaf.example/"

// phones are the numbers that can be called from the screen.
func phones(tab *browser.Tab) []string {
	return browser.Eval[[]string](tab, `[...new Set([...document.querySelectorAll('#paper a[href^="tel:"]')].map((a) => a.getAttribute("href")))]`)
}

// pasted puts what is on the clipboard into an empty field, as Ctrl+V does, and
// gives it.
func pasted(t *testing.T, tab *browser.Tab, id string) string {
	t.Helper()
	tab.Do(chromedp.Focus(chromedp.CSS("#" + id)))
	_, err := chromedp.Call(tab.Ctx, input.DispatchKeyEvent, input.DispatchKeyEventParams{
		Type: "rawKeyDown", Key: "v", Code: "KeyV", Modifiers: 2, WindowsVirtualKeyCode: 86, Commands: []string{"paste"}})
	if err != nil {
		t.Fatal(err)
	}
	tab.Wait(fmt.Sprintf(`document.getElementById(%q).value !== ""`, id))
	return browser.Eval[string](tab, fmt.Sprintf(`document.getElementById(%q).value`, id))
}

// The code on paper goes to the clipboard as the text of its address, whole, and
// from there into a message.
func TestCodeIsCopied(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	walk(tab, "en", "sheets")
	kindOf(tab, "aftercare")
	tab.Wait(`document.getElementById("code-copy")`)
	want := text(tab, "#code-text")
	if !strings.HasPrefix(want, demoBase) || !strings.Contains(want, "#") {
		t.Fatalf("the text of the code is %q", want)
	}
	tab.Click("#code-copy")
	tab.Wait(`document.getElementById("notices").textContent.includes("Copied.")`)
	if got := pasted(t, tab, "mail-to"); got != want {
		t.Errorf("pasted %q, want %q", got, want)
	}
	clean(t, srv, tab)
}

// The code on the screen, read by a camera, opens the care at home on a phone in
// the language of the paper: the address bar is clean at once, the numbers are
// those of the paper, another language is one tap away, and without a network it
// opens just so.
func TestPaperOnAPhone(t *testing.T) {
	srv, tab := open(t)
	address := codeOnScreen(t, tab, "ar")
	path, ok := strings.CutPrefix(address, demoBase)
	if !ok || !strings.HasPrefix(path, "ar/paper/#p=") || strings.ContainsAny(path, "? ") {
		t.Fatalf("the code leads to %q", address)
	}
	clean(t, srv, tab)

	phone := browser.Open(t, srv).Tab()
	size(t, phone, 390, 844, true)
	// Whatever reads the address once the page has loaded finds nothing.
	phone.OnNewDocument(`window.addEventListener("load", () => { window.__seen = location.href; });`)
	phone.Goto("/" + path)
	ready(phone, "ar", "paper")
	phone.Wait(`document.getElementById("paper")`)
	check := func(lang string) {
		t.Helper()
		if u := browser.Eval[string](phone, `location.href + " " + window.__seen + " " + history.state`); strings.Contains(u, "p=") || strings.Contains(u, "#") {
			t.Errorf("the address holds the code: %q", u)
		}
		if got := phones(phone); !slices.Equal(got, []string{"tel:911", "tel:+12025550101", "tel:+12025550102"}) {
			t.Errorf("%s: numbers %q", lang, got)
		}
		signs := browser.Eval[[]string](phone, `[...document.querySelectorAll("#paper .notice [data-warning]")].flatMap((e) => e.dataset.warning.split(" ").map((w) => e.closest(".notice").className + " " + w))`)
		for _, want := range []string{"notice emergency swelling-breathing", "notice caution loose-veneer", "notice caution veneer-came-off", "notice caution bite-feels-high"} {
			if !slices.Contains(signs, want) {
				t.Errorf("%s: %q is not among %q", lang, want, signs)
			}
		}
		if w := browser.Eval[int](phone, `document.documentElement.scrollWidth`); w > 390 {
			t.Errorf("%s: %d px wide", lang, w)
		}
		small := browser.Eval[[]string](phone, `[...document.querySelectorAll("button, nav a, .call a")].filter((e) => e.checkVisibility() && !e.closest("#bars")).map((e) => [e, e.getBoundingClientRect()])
			.filter(([e, r]) => r.height < 43.5 || r.width < 43.5).map(([e, r]) => (e.id || e.textContent) + " " + Math.round(r.width) + "x" + Math.round(r.height))`)
		if len(small) > 0 {
			t.Errorf("%s: too small: %q", lang, small)
		}
		if n := browser.Eval[int](phone, `document.querySelectorAll('nav[data-menu="views"], #summary').length`); n > 0 {
			t.Errorf("%s: a patient sees the dentist's menu", lang)
		}
	}
	check("ar")
	if s := text(phone, "#paper-notes"); strings.Contains(s, "الإنجليزية") {
		t.Errorf("notes %q", s)
	}
	if dir := os.Getenv("PLAINLEAF_PICTURES"); dir != "" {
		picture(t, phone, filepath.Join(dir, "paper-phone-ar.png"))
	}
	axeClean(t, phone, "ar paper")
	for lang, name := range map[string]string{"es": "árabe", "en": "Arabic"} {
		phone.Click(`nav[data-menu="languages"] a[hreflang="` + lang + `"]`)
		ready(phone, lang, "paper")
		check(lang)
		if s := text(phone, "#paper-notes"); !strings.Contains(s, name) {
			t.Errorf("%s: the notes do not name the language of the paper: %q", lang, s)
		}
	}
	clean(t, srv, phone)

	// Nothing is kept, until the patient wants it, and then encrypted.
	code := path[strings.Index(path, "#")+1:]
	if h := holding(stored(phone), code, "5550101", "veneer-came-off"); len(h) > 0 {
		t.Errorf("kept in %q", h)
	}
	phone.WaitOffline()
	srv.Stop()
	if !phone.Unreachable() {
		t.Fatal("there is a network")
	}
	phone.Goto("/" + path)
	ready(phone, "ar", "paper")
	phone.Wait(`document.getElementById("paper")`)
	check("ar, no network")
	phone.Click("#paper-keep")
	phone.Wait(`document.getElementById("paper-drop")`)
	if h := holding(stored(phone), code, "5550101"); len(h) > 0 {
		t.Errorf("kept in the clear in %q", h)
	}
	phone.Goto("/en/paper/")
	ready(phone, "en", "paper")
	phone.Click("#paper-open-kept")
	phone.Wait(`document.getElementById("paper")`)
	check("en, kept")
	phone.Click("#paper-drop")
	phone.Wait(`document.getElementById("paper-keep")`)
	phone.Reload()
	ready(phone, "en", "paper")
	phone.Wait(`document.getElementById("paper-code")`)
	if n := browser.Eval[int](phone, `document.querySelectorAll("#paper-open-kept, #paper").length`); n > 0 {
		t.Error("something is still kept")
	}
	srv.Start()
}

// A code never takes the place of an open case: it stands beside it, and the case
// is as it was. What cannot be read is said in a clear sentence and takes nothing
// away.
func TestPaperBesideACase(t *testing.T) {
	srv, tab := open(t)
	address := codeOnScreen(t, tab, "en")
	code := address[strings.Index(address, "#"):]
	written(t, tab)
	before := browser.Eval[string](tab, `plainleafKeep && JSON.stringify([...document.querySelectorAll("#summary p")].map((p) => p.textContent))`)
	come := func(hash string) { browser.Eval[bool](tab, fmt.Sprintf(`(location.hash = %q, true)`, hash)) }
	come(code)
	ready(tab, "en", "paper")
	tab.Wait(`document.getElementById("paper") && document.getElementById("paper-beside") && !location.href.includes("#")`)
	if after := browser.Eval[string](tab, `JSON.stringify([...document.querySelectorAll("#summary p")].map((p) => p.textContent))`); after != before {
		t.Errorf("the summary was %s, is %s", before, after)
	}
	// Damaged, foreign and newer codes.
	damaged := code[:20] + map[bool]string{true: "B", false: "A"}[code[20] == 'A'] + code[21:]
	for _, x := range []struct{ hash, fault string }{{damaged, "CODE-DAMAGED"}, {"#p=%%%", "CODE-FOREIGN"}, {"#p=" + newer, "CODE-NEWER"}, {"#p=" + strings.Repeat("A", 800), "CODE-LONG"}} {
		come(x.hash)
		tab.Wait(fmt.Sprintf(`document.querySelector('#paper-faults [data-fault=%q]') && !location.href.includes("#")`, x.fault))
		if browser.Eval[int](tab, `document.querySelectorAll("#paper").length`) != 1 {
			t.Errorf("%s took the paper away", x.fault)
		}
	}
	// Copied or typed, over several lines.
	tab.Click("#paper-close")
	tab.Wait(`document.getElementById("paper-code")`)
	fill(tab, "paper-code", "call the practice")
	tab.Click("#paper-read")
	tab.Wait(`document.querySelector('#paper-faults [data-fault="CODE-FOREIGN"]')`)
	browser.Eval[bool](tab, fmt.Sprintf(`(() => { const f = document.getElementById("paper-code"); f.value = %q; f.dispatchEvent(new Event("input", { bubbles: true })); return true; })()`, address[:70]+"\n  "+address[70:]))
	tab.Click("#paper-read")
	tab.Wait(`document.getElementById("paper") && !document.getElementById("paper-faults")`)
	name, page := down(t, tab, "#paper-save")
	if name != "papers.html" || !bytes.Contains(page, []byte("+1 202-555-0102")) || bytes.Contains(page, []byte("<script")) {
		t.Errorf("%s, %d bytes", name, len(page))
	}
	axeClean(t, tab, "paper beside a case")
	// The case is as it was.
	walk(tab, "en", "")
	chosen(tab, 10)
	clean(t, srv, tab)
}

// A practice without a hosted address is told why there is no code, and can enter
// the address where it is missing.
func TestNoAddressNoCode(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	walk(tab, "en", "practice")
	data := saved(t, tab, "#save-practice", "practice.json")
	data = regexp.MustCompile(`\n\s*"base_address": "[^"]*",`).ReplaceAll(data, nil)
	upload(t, tab, "open-practice", "practice.json", data)
	tab.Click("#offer-yes")
	walk(tab, "en", "sheets")
	sheetReady(tab, "options")
	kindOf(tab, "aftercare")
	tab.Wait(`document.getElementById("code-none") && !document.getElementById("code")`)
	fill(tab, "base-address", "smile.example")
	tab.Click("#base-use")
	tab.Wait(`document.querySelector("#base-address-fault li") && document.activeElement.id === "base-address"`)
	retype(tab, "base-address", "https://smile.example/app/")
	tab.Click("#base-use")
	tab.Wait(`document.getElementById("code")`)
	if s := text(tab, "#code-text"); !strings.HasPrefix(s, "https://smile.example/app/en/paper/#p=") {
		t.Errorf("the code leads to %q", s)
	}
	clean(t, srv, tab)
}

// axeClean looks for what axe-core can find on the screen as it is.
func axeClean(t *testing.T, tab *browser.Tab, what string) {
	t.Helper()
	axe, err := os.ReadFile("../checks/node_modules/axe-core/axe.min.js")
	if err != nil {
		t.Fatalf("%v: run npm ci in build/checks", err)
	}
	if !browser.Eval[bool](tab, `!!window.axe`) {
		browser.Eval[bool](tab, string(axe)+"; true")
	}
	for _, f := range browser.Eval[[]string](tab, `axe.run(document, {iframes: false, resultTypes: ["violations"]})
		.then(r => r.violations.map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.target.join(" ") + " " + (n.failureSummary || "")).join("; ")))`) {
		t.Errorf("%s: %s", what, f)
	}
}

// newer is a whole code of a form that comes after the present one.
var newer = func() string {
	b := []byte{2, 1, 2, 3}
	return base64.RawURLEncoding.EncodeToString(binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b)))
}()
