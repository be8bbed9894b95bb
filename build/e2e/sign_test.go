package e2e

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"plainleaf/app/casefile"
	"plainleaf/app/record"
	"plainleaf/app/screens/state"
	"plainleaf/build/browser"
)

const keyPhrase = "lantern copper quiet river"

// strokesDrawn counts the lines on the pad.
const strokesDrawn = `((document.querySelector("#sign-pad .drawn").getAttribute("d") || "").split("M").length - 1)`

// drag draws one line on the pad with the mouse, through points given as parts in
// a hundred of its width and height.
func drag(t *testing.T, tab *browser.Tab, points ...[2]float64) {
	t.Helper()
	tab.Wait(`document.getElementById("sign-pad")`)
	before := browser.Eval[int](tab, strokesDrawn)
	browser.Eval[bool](tab, `(document.getElementById("sign-pad").scrollIntoView({block: "center"}), true)`)
	box := browser.Eval[[]float64](tab, `(() => { const r = document.getElementById("sign-pad").getBoundingClientRect(); return [r.left, r.top, r.width, r.height]; })()`)
	for i, p := range points {
		x, y := box[0]+box[2]*p[0]/100, box[1]+box[3]*p[1]/100
		send := func(kind input.DispatchMouseEventType) {
			_, err := chromedp.Call(tab.Ctx, input.DispatchMouseEvent, input.DispatchMouseEventParams{
				Type: kind, X: x, Y: y, Button: input.MouseButtonLeft, Buttons: 1, ClickCount: 1})
			if err != nil {
				t.Fatal(err)
			}
		}
		if i == 0 {
			send(input.DispatchMouseEventTypeMousePressed)
		} else {
			send(input.DispatchMouseEventTypeMouseMoved)
		}
		if i == len(points)-1 {
			send(input.DispatchMouseEventTypeMouseReleased)
		}
	}
	tab.Wait(fmt.Sprintf(`%s === %d`, strokesDrawn, before+1))
}

// toConsent opens the demo case on the sheets screen with its consent.
func toConsent(tab *browser.Tab, lang string) {
	demo(tab, lang)
	walk(tab, lang, "sheets")
	tab.Click("label:has(#kind-consent)")
}

// signedBy waits until a role has signed what is shown.
func signedBy(tab *browser.Tab, role string) {
	tab.Wait(fmt.Sprintf(`document.querySelector('#signers [data-signed=%q]')`, role))
}

// onPaper waits until a line of the sheet bears what was signed.
func onPaper(tab *browser.Tab, line string) {
	tab.Wait(fmt.Sprintf(`(() => { const d = document.getElementById("sheet").contentDocument; return d && d.querySelector('.ink[data-signed=%q]'); })()`, line))
}

// settleFindings settles through the screens what keeps the consent of the demo case
// from being signed, beside the time to think: the dark tooth, the trial smile and a
// question without an answer. It begins and ends at the consent.
func settleFindings(tab *browser.Tab, lang string) {
	sheetReady(tab, "consent")
	for _, x := range []struct{ button, what string }{{"settle-one-dark-tooth", "wait"}, {"settle-trial-smile", "trial-smile"}} {
		tab.Click("#" + x.button)
		tab.Wait(fmt.Sprintf(`!document.querySelector('#open-points [data-open=%q]')`, x.what))
	}
	tab.Click(`#open-points [data-open="questions"] a`)
	ready(tab, lang, "understanding")
	tab.Wait(`document.activeElement && document.activeElement.id === "questions-head"`)
	typed(tab, "question-1", "Only with a drill. The glue does not let go by itself.")
	walk(tab, lang, "sheets")
	sheetReady(tab, "consent")
}

// settle settles that and waives the time to think where it is not over.
func settle(tab *browser.Tab, lang string) {
	settleFindings(tab, lang)
	if held := stillOpen(tab); len(held) == 1 && held[0] == "thinking-time" {
		typed(tab, "waive-thinking-time", "I have thought about it since the summer.")
		tab.Click("#waive-go-thinking-time")
	}
	tab.Wait(`!document.getElementById("open-points")`)
}

// stillOpen lists what the screen shows as open before a yes.
func stillOpen(tab *browser.Tab) []string {
	return browser.Eval[[]string](tab, `[...document.querySelectorAll("#open-points [data-open]")].map((e) => e.dataset.open)`)
}

// makeKey makes the key of the device and gives its public half.
func makeKey(t *testing.T, tab *browser.Tab, lang string) []byte {
	t.Helper()
	walk(tab, lang, "records")
	tab.Click("#key-make")
	typed(tab, "key-owner", "Demo Dentist")
	fill(tab, "key-phrase", keyPhrase)
	fill(tab, "key-again", keyPhrase)
	tab.Click("#key-go")
	tab.Wait(`document.getElementById("key-code")`)
	return savedAny(t, tab, "#key-public", "key-")
}

func sealedFile(t *testing.T, tab *browser.Tab) (file []byte, code string) {
	t.Helper()
	file = savedAny(t, tab, "#seal-go", "")
	tab.Wait(`document.getElementById("seal-code")`)
	return file, text(tab, "#seal-code")
}

// The whole way: a key, signatures by mouse and by keyboard, a reload, an edit
// that sets them aside and is taken back, the seal, the record checked by the
// program and by the command, a changed letter found, the withdrawal, and nothing
// left behind.
func TestSignAndSeal(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	public := makeKey(t, tab, "en")
	private := savedAny(t, tab, "#key-private", "key-")
	if !record.IsPrivate(private) || bytes.Contains(private, []byte(keyPhrase)) {
		t.Error("the spare copy is no wrapped key")
	}
	if _, faults := record.OpenKey(private, keyPhrase); len(faults) > 0 {
		t.Errorf("the spare copy does not open: %s", faults.Lines())
	}
	trust, faults := record.ReadTrust(public)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}

	// The key is trusted from the day it was made, the demo case is from a day before.
	walk(tab, "en", "")
	typed(tab, "start", time.Now().UTC().AddDate(0, 1, 0).Format(time.DateOnly))
	typed(tab, "issued", time.Now().UTC().Format(time.DateOnly))
	tab.Wait(`!document.querySelector("#start-fault, #issued-fault")`)
	walk(tab, "en", "sheets")
	tab.Click("label:has(#kind-consent)")
	settle(tab, "en")
	if got := browser.Eval[int](tab, `document.querySelectorAll("#signers").length`); got != 0 {
		t.Error("one can sign before an answer was chosen")
	}
	fill(tab, "person-name", "Testperson")
	tab.Click("label:has(#decision-agreed)")

	// The patient draws.
	tab.Click("#sign-patient")
	drag(t, tab, [2]float64{10, 60}, [2]float64{20, 20}, [2]float64{30, 70}, [2]float64{45, 30})
	drag(t, tab, [2]float64{50, 50}, [2]float64{90, 55})
	tab.Click("#sign-clear")
	tab.Wait(strokesDrawn + " === 0")
	drag(t, tab, [2]float64{10, 60}, [2]float64{20, 20}, [2]float64{30, 70}, [2]float64{45, 30})
	// A reload in the middle loses no line.
	written(t, tab)
	tab.Reload()
	ready(tab, "en", "sheets")
	tab.Wait(`document.getElementById("sign-pad") && ` + strokesDrawn + ` === 1`)
	drag(t, tab, [2]float64{50, 50}, [2]float64{90, 55})
	tab.Click("#sign-done")
	signedBy(tab, "patient")
	onPaper(tab, "patient")
	path := browser.Eval[string](tab, `document.getElementById("sheet").contentDocument.querySelector('.ink[data-signed="patient"] path').getAttribute("d")`)
	if strings.Count(path, "M") != 2 {
		t.Errorf("on the sheet: %q", path)
	}

	// The dentist types the name, by keyboard alone.
	browser.Eval[bool](tab, `(document.getElementById("sign-dentist").focus(), true)`)
	press(tab, kb.Enter)
	tab.Wait(`document.activeElement.id === "sign-way-drawn"`)
	press(tab, kb.ArrowRight)
	tab.Wait(`document.getElementById("sign-way-typed").checked && !document.getElementById("sign-pad")`)
	typed(tab, "sign-name", "")
	tabTo(t, tab, "sign-done")
	press(tab, kb.Enter)
	tab.Wait(`document.getElementById("sign-fault") && document.activeElement.id === "sign-name"`)
	press(tab, "Demo Dentist")
	tabTo(t, tab, "sign-done")
	press(tab, kb.Enter)
	signedBy(tab, "dentist")
	onPaper(tab, "dentist")

	// A reload keeps signatures, answer, name and sheet.
	written(t, tab)
	if found := holding(stored(tab), "Testperson", "Demo Dentist,", keyPhrase); len(found) > 0 {
		t.Errorf("in the clear: %q", found)
	}
	tab.Reload()
	ready(tab, "en", "sheets")
	sheetReady(tab, "consent")
	signedBy(tab, "patient")
	signedBy(tab, "dentist")
	onPaper(tab, "patient")
	if got := browser.Eval[string](tab, `document.getElementById("person-name").value`); got != "Testperson" {
		t.Errorf("the name is %q", got)
	}

	// The screen in another language leaves the sheet in its own.
	speak(tab, "es", "sheets")
	signedBy(tab, "patient")
	if got := browser.Eval[string](tab, `document.getElementById("sheet").contentDocument.documentElement.lang`); got != "en" {
		t.Errorf("the sheet is in %q now", got)
	}
	speak(tab, "en", "sheets")

	// An edit sets the signatures aside; without it they count again.
	walk(tab, "en", "")
	tab.Click("label:has(#finding-smoking)")
	tab.Wait(`document.getElementById("updated").textContent.includes("set aside")`)
	walk(tab, "en", "sheets")
	tab.Wait(`document.getElementById("aside")`)
	if n := browser.Eval[int](tab, `document.querySelectorAll("#signers [data-signed]").length`); n != 0 {
		t.Errorf("%d signatures still count", n)
	}
	if got := text(tab, "#aside"); !strings.Contains(got, "Testperson") || !strings.Contains(got, "Demo Dentist") {
		t.Errorf("set aside: %q", got)
	}
	walk(tab, "en", "")
	tab.Click("label:has(#finding-smoking)")
	walk(tab, "en", "sheets")
	signedBy(tab, "patient")
	if n := browser.Eval[int](tab, `document.querySelectorAll("#aside").length`); n != 0 {
		t.Error("the notice stays")
	}

	// The seal; a wrong passphrase first.
	fill(tab, "seal-phrase", "not this one at all")
	tab.Click("#seal-go")
	tab.Wait(`document.getElementById("seal-phrase-fault")`)
	fill(tab, "seal-phrase", keyPhrase)
	file, code := sealedFile(t, tab)
	if browser.Eval[int](tab, `document.querySelectorAll("#seal-phrase").length`) != 0 {
		t.Error("the field of the passphrase stays")
	}
	tab.Wait(`document.getElementById("updated").textContent.includes("Agreed")`)
	tab.Wait(fmt.Sprintf(`(() => { const d = document.getElementById("sheet").contentDocument; return d && d.querySelector('[data-seal=%q]'); })()`, code))
	v := record.Verify(file, &trust)
	if !v.Good() || v.Trust != record.Trusted || v.Code != code || v.Record.Kind != "consent" {
		t.Fatalf("%+v", v)
	}
	rec, ok := record.Read(file)
	if !ok || rec.Decision.What != "agreed" || rec.Decision.At == "" || rec.Sealed == "" || rec.Identifiers.Name != "Testperson" ||
		len(rec.Signatures) != 2 || rec.Signatures[0].Role != "patient" || len(rec.Signatures[0].Strokes) != 2 ||
		rec.Signatures[0].Width != state.PadWidth || rec.Signatures[1].Way != "typed" || rec.Signatures[1].Name != "Demo Dentist" {
		t.Errorf("the record holds %+v %+v %+v", rec.Decision, rec.Signatures, rec.Identifiers)
	}
	dir := t.TempDir()
	for name, data := range map[string][]byte{"record.json": file, "key.json": public} {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	out, err := exec.Command("go", "run", "plainleaf/app", "verify", "-json", "-key", filepath.Join(dir, "key.json"), "-code", code, filepath.Join(dir, "record.json")).CombinedOutput()
	if err != nil || !bytes.Contains(out, []byte(`"trust": "trusted"`)) {
		t.Errorf("the command: %v %s", err, out)
	}

	// The screen that checks says the same, and finds one changed letter.
	walk(tab, "en", "records")
	verdict := func(name string, data []byte, want string) {
		t.Helper()
		upload(t, tab, "record-file", name, data)
		tab.Wait(fmt.Sprintf(`document.getElementById("verdicts-head") && document.getElementById("verdicts-head").textContent.includes(%q)`, name))
		if got := browser.Eval[string](tab, `(({integrity, signer, trust}) => integrity + " " + signer + " " + trust)(document.getElementById("verdicts").dataset)`); got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
	verdict("whole.json", file, "intact signed trusted")
	typed(tab, "record-code", strings.ToLower(code))
	tab.Wait(`document.getElementById("code-said").textContent.includes("is the code")`)
	if got := text(tab, "[data-reading=en]"); !strings.Contains(got, "The dentist's own advice") && len(got) < 2000 {
		t.Errorf("the text of the record is %d long", len(got))
	}
	last := rec.Languages[0].Sections[len(rec.Languages[0].Sections)-1]
	bad := bytes.Replace(file, []byte(`"heading":"`+last.Heading+`"`), []byte(`"heading":"`+last.Heading+`."`), 1)
	if bytes.Equal(bad, file) {
		t.Fatal("nothing was changed")
	}
	verdict("letter.json", bad, "changed wrong nobody")
	where := browser.Eval[[]string](tab, `[...document.querySelectorAll("[data-where]")].map((e) => e.dataset.where)`)
	if len(where) != 1 || where[0] != fmt.Sprintf("languages[0].sections[%d]", len(rec.Languages[0].Sections)-1) {
		t.Errorf("the change lies at %q", where)
	}
	verdict("again.json", file, "intact signed trusted")
	fhir := savedAny(t, tab, "#record-fhir", "again")
	var resource struct{ ResourceType, Status string }
	if err := json.Unmarshal(fhir, &resource); err != nil || resource.ResourceType != "Consent" || resource.Status != "active" {
		t.Errorf("FHIR: %v %+v", err, resource)
	}
	// One that no key of the list stands behind is said to be that before it is given.
	stranger, err := os.ReadFile("../../testdata/records/stranger.json")
	if err != nil {
		t.Fatal(err)
	}
	verdict("stranger.json", stranger, "intact signed unknown")
	if got := text(tab, "#fhir-key"); !strings.Contains(got, "signed with the key") || !strings.Contains(got, "not on your list") {
		t.Errorf("beside the button stands %q", got)
	}
	tab.Click("#record-fhir")
	tab.Wait(`document.activeElement && document.activeElement.id === "fhir-ask-head" && !document.getElementById("record-fhir")`)
	tab.Click("#record-fhir-no")
	tab.Wait(`document.activeElement && document.activeElement.id === "record-fhir" && !document.getElementById("fhir-ask")`)
	tab.Click("#record-fhir")
	tab.Wait(`document.getElementById("record-fhir-yes")`)
	if err := json.Unmarshal(savedAny(t, tab, "#record-fhir-yes", "stranger"), &resource); err != nil || resource.ResourceType != "Consent" {
		t.Errorf("FHIR: %v %+v", err, resource)
	}
	tab.Wait(`!document.getElementById("fhir-ask")`)
	tab.Click("#record-close")

	// The consent is taken back: a record that names the first.
	walk(tab, "en", "sheets")
	tab.Wait(`document.getElementById("purpose-withdrawal")`)
	tab.Click("label:has(#purpose-withdrawal)")
	tab.Wait(`document.getElementById("earlier-is") && !document.getElementById("seal-stale")`)
	if got := text(tab, "#earlier-is"); !strings.Contains(got, code) {
		t.Errorf("it follows %q", got)
	}
	// Somebody else's record is told as that, and put back.
	signing := filepath.Join(dir, "signing.json")
	if err := os.WriteFile(signing, []byte(`{"version":1,"cases":{"demo-try-in":{"identifiers":{"name":"Somebody Else"},"decision":{"what":"agreed"}}}}`), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("go", "run", "plainleaf/app", "seal", "-signing", signing, "-out", filepath.Join(dir, "other"), "../../testdata/cases/at-try-in.json").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	others, _ := filepath.Glob(filepath.Join(dir, "other", "*.json"))
	theirs, err := os.ReadFile(others[0])
	if err != nil {
		t.Fatal(err)
	}
	upload(t, tab, "earlier-file", "theirs.json", theirs)
	tab.Wait(`document.getElementById("earlier-foreign")`)
	tab.Click("#earlier-drop")
	tab.Wait(`!document.getElementById("earlier-foreign")`)
	if n := browser.Eval[int](tab, `document.querySelectorAll("#signers [data-signed], #aside").length`); n != 0 {
		t.Error("the signatures of the consent stand under the withdrawal, or are told as lost")
	}
	tab.Click("#sign-patient")
	tab.Click("label:has(#sign-way-typed)")
	tab.Wait(`document.getElementById("sign-way-typed").checked && !document.getElementById("sign-pad")`)
	tab.Click("#sign-done")
	signedBy(tab, "patient")
	fill(tab, "seal-phrase", keyPhrase)
	back, _ := sealedFile(t, tab)
	v2 := record.Verify(back, &trust)
	if !v2.Good() || v2.Record.Kind != "withdrawal" || v2.Record.Previous != v.SHA256 || v2.Record.Decision != "withdrawn" {
		t.Errorf("the withdrawal: %+v", v2)
	}
	walk(tab, "en", "visit") // where treatment would go on, it is said first
	tab.Wait(`document.querySelector(".screen").firstElementChild.id === "withdrawn" && document.getElementById("withdrawn").textContent.includes("taken the consent back")`)

	// Clearing asks for the record, and leaves nothing of the patient.
	walk(tab, "en", "")
	tab.Click("#clear")
	tab.Wait(`document.getElementById("clear-yes").dataset.signed === "true"`)
	nextPatient(tab)
	written(t, tab)
	if found := holding(stored(tab), "Testperson", code, keyPhrase, `"strokes"`); len(found) > 0 {
		t.Errorf("left: %q", found)
	}
	for _, view := range []string{"sheets", "records"} {
		walk(tab, "en", view)
		if p := browser.Eval[string](tab, everywhere); strings.Contains(p, "Testperson") || strings.Contains(p, code) || strings.Contains(p, keyPhrase) {
			t.Errorf("%s: something is left on the page", view)
		}
	}
	if got := text(tab, "#key-code"); got != record.Code(trust.Keys[0].ID) {
		t.Errorf("the key of the device is %q", got)
	}
	tidy(t, srv, tab)
}

// A consent on hold has no line to sign and cannot be sealed as a yes. Each point is
// settled in its place; a child does not decide alone.
func TestAConsentOnHold(t *testing.T) {
	srv, tab := open(t)
	toConsent(tab, "en")
	sheetReady(tab, "consent")
	lines := func() int {
		return browser.Eval[int](tab, `document.getElementById("sheet").contentDocument.querySelectorAll(".signpage .sign .row").length`)
	}
	has := func(id string) string {
		return fmt.Sprintf(`(d => d && d.querySelector('[data-msg=%q]'))(document.getElementById("sheet").contentDocument)`, id)
	}
	refused := func(why string) {
		t.Helper()
		tab.Click("label:has(#decision-agreed)")
		tab.Wait(`document.getElementById("decision-agreed").checked && !document.getElementById("signers")`)
		tab.Click("#seal-go")
		tab.Wait(`document.getElementById("seal-fault")`)
		if got := text(tab, "#seal-fault"); !strings.Contains(got, "still open") {
			t.Errorf("%s: refused with %q", why, got)
		}
		if browser.Eval[bool](tab, `!!document.getElementById("seal-done")`) {
			t.Fatalf("%s: a yes was sealed", why)
		}
	}
	if got := strings.Join(stillOpen(tab), " "); !strings.HasPrefix(got, "wait trial-smile questions") {
		t.Errorf("open: %s", got)
	}
	tab.Wait(has("sheet.sign.hold"))
	if n := lines(); n > 0 {
		t.Errorf("%d lines to sign on", n)
	}
	refused("a dark tooth to wait for")
	// Once nothing is on hold there are lines; a yes waits for the rest.
	tab.Click("#settle-one-dark-tooth")
	tab.Wait(`!document.querySelector('#open-points [data-open="wait"]') && !document.getElementById("seal-fault")`)
	sheetReady(tab, "consent")
	tab.Wait("!" + has("sheet.sign.hold") + " && " + has("sheet.sign.patient") + " && " + has("sheet.sign.dentist"))
	if n := lines(); n != 2 {
		t.Errorf("%d lines to sign on", n)
	}
	refused("no trial smile")
	// A no is sealed at any time.
	tab.Click("label:has(#decision-refused)")
	file, _ := sealedFile(t, tab)
	if rec, ok := record.Read(file); !ok || rec.Kind != record.Refusal || len(rec.Open) == 0 {
		t.Errorf("the refusal keeps as open: %+v", rec.Open)
	}
	// Nobody decides alone who is a child; the link leads to the question.
	walk(tab, "en", "")
	pickValue(tab, "age", "child")
	walk(tab, "en", "sheets")
	sheetReady(tab, "consent")
	tab.Wait(`document.querySelector('#open-points [data-open="alone"]') && ` + has("sheet.sign.hold"))
	refused("a child alone")
	tab.Click(`#open-points [data-open="alone"] a`)
	ready(tab, "en", "case")
	tab.Wait(`document.activeElement && document.activeElement.id === "people-head"`)
	pickValue(tab, "decides", "parent")
	pickValue(tab, "assent", "yes")
	walk(tab, "en", "sheets")
	sheetReady(tab, "consent")
	tab.Wait(`document.getElementById("open-points") && !document.querySelector('#open-points [data-open="alone"], #open-points [data-open="assent"]')`)
	// A young person may, with the dentist's reason.
	walk(tab, "en", "")
	pickValue(tab, "age", "adolescent")
	pickValue(tab, "decides", "patient")
	walk(tab, "en", "sheets")
	sheetReady(tab, "consent")
	typed(tab, "waive-alone", "Sixteen, which is of age for this here.")
	tab.Click("#waive-go-alone")
	tab.Wait(`document.getElementById("open-points") && !document.querySelector('#open-points [data-open="alone"]')`)
	// Who decides is not taken for known.
	walk(tab, "en", "")
	pickValue(tab, "age", "adult")
	pickValue(tab, "decides", "-")
	walk(tab, "en", "sheets")
	sheetReady(tab, "consent")
	tab.Wait(`document.querySelector('#open-points [data-open="decides"]')`)
	tab.Click("label:has(#decision-later)")
	tab.Wait(`document.getElementById("signers-unasked") && document.getElementById("sign-patient") && document.getElementById("sign-parent")`)
	clean(t, srv, tab)
}

// A sealed yes is in force from then on: the change sheet puts what is asked beside
// it, and a step that cannot be undone changes the state of its tooth at once.
func TestTheSealedAgreementIsInForce(t *testing.T) {
	srv, tab := open(t)
	onDay(tab, "2026-12-15") // the time to think ended on December 2
	toConsent(tab, "en")
	settle(tab, "en")
	tab.Click("label:has(#decision-agreed)")
	tab.Wait(`document.getElementById("sign-patient")`)
	_, code := sealedFile(t, tab)
	tab.Wait(`document.getElementById("updated").textContent.includes("Agreed")`)
	// What is entered later changes nothing that was agreed.
	walk(tab, "en", "chair")
	openDrawers(tab, "#change-facial-contouring")
	tab.Click("#answer-facial-contouring-21-no")
	pressed(tab, "answer-facial-contouring-21-no", true)
	walk(tab, "en", "visit")
	pressed(tab, "state-21-untouched", true)
	pickValue(tab, "departure-step", "facial-contouring")
	tab.Click("label:has(#departure-tooth-21)")
	tab.Wait(`document.getElementById("departure-draft-warning").textContent.includes("asked first")`) // agreed: ask me first
	tab.Click("label:has(#departure-said-agree)")
	tab.Click("label:has(#departure-how-signal)")
	typed(tab, "departure-size", "0.2")
	typed(tab, "departure-fee", "35")
	typed(tab, "departure-note", "the edge stands out")
	tab.Click("#departure-answer")
	noted(tab, 2) // asked, answered
	pressed(tab, "state-21-untouched", true)
	change := func(says ...string) {
		t.Helper()
		if browser.Eval[string](tab, `document.getElementById("app").dataset.view`) == "visit" {
			tab.Click("#to-change")
			ready(tab, "en", "sheets")
		} else {
			walk(tab, "en", "sheets")
		}
		sheetReady(tab, "change")
		sheet := browser.Eval[string](tab, `document.getElementById("sheet").contentDocument.body.innerText`)
		for _, want := range says {
			if !strings.Contains(sheet, want) {
				t.Errorf("the change sheet does not say %q: %s", want, sheet)
			}
		}
	}
	change(code, "Ask me first", "0.2 mm", "$35.00", "December 15, 2026: yes", "the edge stands out", "Nothing was taken off or glued on.")
	walk(tab, "en", "visit")
	pickValue(tab, "departure-step", "facial-contouring")
	tab.Click("label:has(#departure-tooth-21)")
	tab.Click("#departure-add")
	noted(tab, 3)
	pressed(tab, "state-21-shaped", true) // at once
	pressed(tab, "state-11-untouched", true)
	change("Some tooth was taken off")
	walk(tab, "en", "")
	tab.Click("#each-21 > summary")
	pickValue(tab, "each-21-route", "minimal-prep")
	change("Veneers without drilling", "Veneers with a little drilling")
	c := caseOf(t, tab)
	if c.Agreed == nil || c.Agreed.Way != casefile.SealedRecord || c.Agreed.Code != code || c.Agreed.By != "patient" || c.Agreed.Date.String() != "2026-12-15" {
		t.Errorf("agreed: %+v", c.Agreed)
	}
	if s := c.Standing("facial-contouring", casefile.At(21)); s.Answer != casefile.Agree || s.How != "signal" || s.SizeMM != 0.2 || s.Fee == nil || s.Fee.Minor != 3500 {
		t.Errorf("in force: %+v", s)
	}
	clean(t, srv, tab)
}

// A no is an answer: it is noted with its time and sealed, signed by nobody. A
// mark counts only with a witness, who gets a line of the sheet.
func TestRefusalAndMark(t *testing.T) {
	srv, tab := open(t)
	toConsent(tab, "en")
	sheetReady(tab, "consent")
	tab.Click("label:has(#decision-refused)")
	tab.Wait(`document.getElementById("refused")`)
	file, _ := sealedFile(t, tab)
	rec, ok := record.Read(file)
	v := record.Verify(file, nil)
	if !ok || v.Integrity != record.Intact || v.Signer != record.Unsigned || rec.Kind != record.Refusal || rec.Decision.What != "refused" || rec.Decision.At == "" || len(rec.Signatures) != 0 {
		t.Errorf("%+v %+v", v, rec.Decision)
	}
	settle(tab, "en")
	tab.Click("label:has(#decision-refused)") // on a sheet that has lines, a no is on its line
	onPaper(tab, "decision-yes")
	tab.Click("label:has(#decision-agreed)")
	tab.Click("#sign-patient")
	tab.Click("label:has(#sign-way-mark)")
	tab.Wait(`document.getElementById("sign-way-mark").checked`)
	typed(tab, "sign-name", "Testperson")
	drag(t, tab, [2]float64{40, 40}, [2]float64{60, 60})
	drag(t, tab, [2]float64{60, 40}, [2]float64{40, 60})
	tab.Click("#sign-done")
	signedBy(tab, "patient")
	tab.Click("#seal-go")
	tab.Wait(`document.getElementById("seal-fault")`)
	tab.Click("#sign-witness")
	tab.Click("label:has(#sign-way-paper)")
	tab.Wait(`document.getElementById("sign-paper-on")`)
	typed(tab, "sign-name", "Test Witness")
	typed(tab, "sign-paper", "scan 17")
	typed(tab, "sign-paper-on", "2026-11-25")
	tab.Click("#sign-done")
	signedBy(tab, "witness")
	tab.Wait(`document.getElementById("sheet").contentDocument.body.textContent.includes("Test Witness")`)
	file, _ = sealedFile(t, tab)
	if rec, ok = record.Read(file); !ok || rec.Kind != record.Consent || len(rec.Signatures) != 2 || rec.Signatures[1].Paper != "scan 17" {
		t.Errorf("%+v", rec.Signatures)
	}
	// A change of the plan names the record of what was agreed before.
	consent := record.Verify(file, nil)
	tab.Click("label:has(#kind-change)")
	sheetReady(tab, "change")
	tab.Click("label:has(#decision-agreed)")
	tab.Wait(`document.getElementById("earlier-is")`)
	file, _ = sealedFile(t, tab)
	if v := record.Verify(file, nil); v.Integrity != record.Intact || v.Record.Kind != "change" || v.Record.Previous != consent.SHA256 {
		t.Errorf("the change: %+v", v)
	}
	changed := file
	// A try-in, and a consent that takes the place of the first.
	tab.Click("label:has(#kind-tryin)")
	sheetReady(tab, "tryin")
	tab.Click("label:has(#decision-agreed)")
	tab.Wait(`!document.getElementById("seal-done")`)
	tried, _ := sealedFile(t, tab)
	if v := record.Verify(tried, nil); v.Integrity != record.Intact || v.Record.Kind != "tryin" || v.Record.Previous != "" {
		t.Errorf("the try-in: %+v", v)
	}
	tab.Click("label:has(#kind-consent)")
	sheetReady(tab, "consent")
	tab.Wait(`document.getElementById("purpose-superseding")`)
	tab.Click("label:has(#purpose-superseding)")
	tab.Wait(`document.getElementById("earlier-is")`)
	tab.Click("label:has(#decision-agreed)")
	tab.Wait(`!document.getElementById("seal-done")`)
	anew, _ := sealedFile(t, tab)
	if v := record.Verify(anew, nil); v.Integrity != record.Intact || v.Record.Kind != "superseding" || v.Record.Previous != record.Verify(changed, nil).SHA256 {
		t.Errorf("the consent in place of the first: %+v", v)
	}
	// The screen that checks reads each as what it is, and tells a change in words.
	walk(tab, "en", "records")
	for _, x := range []struct {
		name, kind string // as the screen calls it
		data       []byte
	}{{"changed.json", "Change of the plan", changed}, {"tried.json", "Approval at the try-in", tried}, {"anew.json", "Consent that replaces an earlier one", anew}} {
		upload(t, tab, "record-file", x.name, x.data)
		tab.Wait(fmt.Sprintf(`document.getElementById("verdicts-head") && document.getElementById("verdicts-head").textContent.includes(%q)`, x.name))
		if got := browser.Eval[string](tab, `(({integrity, signer}) => integrity + " " + signer)(document.getElementById("verdicts").dataset)`); got != "intact unsigned" {
			t.Errorf("%s: %s", x.name, got)
		}
		if got := text(tab, "main"); !strings.Contains(got, x.kind) {
			t.Errorf("%s is not read as %q", x.name, x.kind)
		}
	}
	rec, _ = record.Read(tried)
	heading := rec.Languages[0].Sections[1].Heading
	bad := bytes.Replace(tried, []byte(`"heading":"`+heading+`"`), []byte(`"heading":"Another heading"`), 1)
	upload(t, tab, "record-file", "bad.json", bytes.Replace(bad, []byte(`"what":"agreed"`), []byte(`"what":"refused"`), 1))
	tab.Wait(`document.getElementById("where") && document.querySelectorAll("#where [data-where]").length === 2`)
	if got := text(tab, "#where"); !strings.Contains(got, "Changed: the text in English, under the heading “Another heading”") ||
		!strings.Contains(got, "Changed: what was decided, by whom and when") || strings.Contains(got, "sections[") {
		t.Errorf("the change is told as %q", got)
	}
	clean(t, srv, tab)
}

// The screens of signing and of records have no violation that axe-core finds, fit
// a phone, and are large enough for fingers, from left to right and the other way.
func TestSigningFits(t *testing.T) {
	axe, err := os.ReadFile("../checks/node_modules/axe-core/axe.min.js")
	if err != nil {
		t.Fatalf("%v: run npm ci in build/checks", err)
	}
	dir := os.Getenv("PLAINLEAF_PICTURES")
	_, tab := open(t)
	look := func(name string) {
		t.Helper()
		for _, d := range []struct {
			name          string
			width, height int64
		}{{"tablet", 768, 1024}, {"phone", 390, 844}, {"narrow", 320, 640}} {
			size(t, tab, d.width, d.height, true)
			if w := browser.Eval[int](tab, `document.documentElement.scrollWidth`); int64(w) > d.width {
				t.Errorf("%s at %d: %d wide", name, d.width, w)
			}
			small := browser.Eval[[]string](tab, `[...document.querySelectorAll("button, select, summary, label.chip, label.opener, input[type=text], input[type=password]")]
				.filter(e => e.checkVisibility() && !e.closest("#bars")).map(e => [e, e.getBoundingClientRect()])
				.filter(([e, r]) => r.height < 43.5 || r.width < 43.5).map(([e, r]) => (e.id || e.className || e.textContent) + " " + Math.round(r.width) + "x" + Math.round(r.height))`)
			if len(small) > 0 {
				t.Errorf("%s at %d: too small: %q", name, d.width, small)
			}
			if dir != "" && d.name != "narrow" {
				for i, id := range []string{"signing-head", "sign-form", "seal-head", "verify-head", "reading-head", "key-head", "trust-part-head"} {
					if browser.Eval[bool](tab, fmt.Sprintf(`(() => { const e = document.getElementById(%q); if (e) e.scrollIntoView(); return !!e; })()`, id)) {
						picture(t, tab, filepath.Join(dir, fmt.Sprintf("%s-%s-%d.png", name, d.name, i)))
					}
				}
			}
		}
		size(t, tab, 768, 1024, true)
		found := browser.Eval[[]string](tab, `axe.run(document, {iframes: false, resultTypes: ["violations"]})
			.then(r => r.violations.map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.target.join(" ") + " " + (n.failureSummary || "")).join("; ")))`)
		for _, f := range found {
			t.Errorf("%s: %s", name, f)
		}
		wordless(t, tab)
	}
	for _, lang := range []string{"en", "ar"} {
		demo(tab, lang)
		browser.Eval[bool](tab, string(axe)+"; true")
		walk(tab, lang, "sheets")
		tab.Click("label:has(#kind-consent)")
		if lang != "en" {
			pickValue(tab, "sheet-second", "en")
		}
		sheetReady(tab, "consent")
		tab.Click("label:has(#decision-agreed)")
		look("open-" + lang)
		settle(tab, lang)
		tab.Click("label:has(#decision-agreed)")
		tab.Click("#sign-patient")
		typed(tab, "sign-name", "Testperson")
		drag(t, tab, [2]float64{10, 60}, [2]float64{20, 20}, [2]float64{30, 70}, [2]float64{45, 30}, [2]float64{60, 60}, [2]float64{85, 40})
		look("draw-" + lang)
		tab.Click("#sign-done")
		signedBy(tab, "patient")
		onPaper(tab, "patient")
		browser.Eval[bool](tab, `(document.getElementById("seal-proof").open = true)`)
		look("signed-" + lang)
		if lang != "en" { // the key that was made stays on the device
			fill(tab, "seal-phrase", keyPhrase)
		}
		file, _ := sealedFile(t, tab)
		look("sealed-" + lang)
		walk(tab, lang, "records")
		tab.Click("#key-make")
		tab.Wait(`document.getElementById("key-phrase")`)
		look("key-" + lang)
		tab.Click("#key-cancel")
		upload(t, tab, "record-file", "record.json", bytes.Replace(file, []byte(`"heading":"`), []byte(`"heading":"+`), 1))
		tab.Wait(`document.getElementById("where")`)
		browser.Eval[bool](tab, `(document.querySelectorAll("main details").forEach((d) => d.open = true), true)`)
		look("record-" + lang)
		if lang == "en" {
			makeKey(t, tab, lang)
			tab.Click(`[data-key] button`)
			tab.Wait(`document.getElementById("trust-withdrawn")`)
			look("trust-" + lang)
		}
		walk(tab, lang, "")
		tab.Click("#clear")
		nextPatient(tab)
	}
}
