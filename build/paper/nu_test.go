package paper

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"mime/quotedprintable"
	"net/mail"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/printout"
	"plainleaf/app/produce"
	"plainleaf/app/sheet"
	"plainleaf/build/outside"
	"plainleaf/i18n"
)

const nuChecker = "HTML as read by the Nu HTML checker"

// owed are the errors that sheets have still. The list only gets shorter: a message
// that no page shows has to go, and no other may come.
var owed = []string{
	"The heading “h3” (with computed level 3) follows the heading “h1” (with computed level 1), skipping 1 heading level.",
}

// remark is what the Nu HTML checker says of one place in a file.
type remark struct {
	Type, SubType, URL, Message, Extract string
	LastLine                             int
}

func (r remark) isError() bool { return r.Type == "error" || r.Type == "non-document-error" }

// nu checks files in one start of Java, since the start takes longer than a file.
func nu(t *testing.T, files ...string) []remark {
	t.Helper()
	java, err := exec.LookPath("java")
	if err != nil {
		t.Fatal("Java is needed for this test; install default-jre-headless: ", err)
	}
	const jar = "../checks/node_modules/vnu-jar/build/dist/vnu.jar"
	if _, err := os.Stat(jar); err != nil {
		t.Fatalf("run npm ci in build/checks: %v", err)
	}
	var out, said bytes.Buffer
	cmd := exec.Command(java, append([]string{"-Xss1m", "-jar", jar, "--format", "json", "--stdout", "--exit-zero-always"}, files...)...)
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err != nil {
		t.Fatalf("the checker: %v: %s", err, said.String())
	}
	var all struct{ Messages []remark }
	if err := json.Unmarshal(out.Bytes(), &all); err != nil {
		t.Fatalf("the checker writes %q: %v", out.String(), err)
	}
	return all.Messages
}

// markup collects pages to check, each in a file.
type markup struct {
	t     *testing.T
	dir   string
	files []string
}

func (m *markup) add(name string, page []byte) {
	m.t.Helper()
	file := filepath.Join(m.dir, strings.ReplaceAll(strings.Join(strings.Fields(name), "-"), "/", "-")+".html")
	if err := os.WriteFile(file, page, 0o600); err != nil {
		m.t.Fatal(err)
	}
	m.files = append(m.files, file)
}

// page adds the sheet of a cell, unless this case has no such sheet yet.
func (m *markup) page(name string, c cell, in produce.Input, o printout.Options) {
	m.t.Helper()
	docs, _, faults := produce.Docs(c.of(in))
	if len(faults) > 0 {
		if !settlesFirst(faults) {
			m.t.Fatalf("%s %s: %s", name, c, faults.Lines())
		}
		return
	}
	o.Paper, o.Size = c.paper, c.size
	data, err := printout.HTML(docs, o)
	if err != nil {
		m.t.Fatal(err)
	}
	m.add(fmt.Sprint(name, " ", c), data)
}

// mailed adds what a mail shows of a sheet to a reader of HTML.
func (m *markup) mailed(name string, c cell, in produce.Input) {
	m.t.Helper()
	in = c.of(in)
	docs, pl, faults := produce.Docs(in)
	if len(faults) > 0 {
		m.t.Fatal(faults.Lines())
	}
	parts, faults := produce.Attachments(in, pl, docs, printout.Options{})
	if len(faults) > 0 {
		m.t.Fatal(faults.Lines())
	}
	draft, faults := produce.Mail(in, docs, parts, "")
	if len(faults) > 0 {
		m.t.Fatal(faults.Lines())
	}
	message, err := mail.ReadMessage(bytes.NewReader(draft))
	if err != nil {
		m.t.Fatal(err)
	}
	pages := shownAsHTML(m.t, message.Header.Get("Content-Type"), message.Body)
	if len(pages) != 1 {
		m.t.Fatalf("%d parts of the mail are shown as HTML", len(pages))
	}
	m.add(fmt.Sprint("mail ", name, " ", c), pages[0])
}

// shownAsHTML gives the parts of a mail in HTML that are no attachments.
func shownAsHTML(t *testing.T, kind string, body io.Reader) (out [][]byte) {
	t.Helper()
	media, params, err := mime.ParseMediaType(kind)
	if err != nil || !strings.HasPrefix(media, "multipart/") {
		t.Fatalf("%s: %v", kind, err)
	}
	for r := multipart.NewReader(body, params["boundary"]); ; {
		p, err := r.NextRawPart()
		if err == io.EOF {
			return out
		} else if err != nil {
			t.Fatal(err)
		}
		switch of := p.Header.Get("Content-Type"); {
		case strings.HasPrefix(of, "multipart/"):
			out = append(out, shownAsHTML(t, of, p)...)
		case strings.HasPrefix(of, "text/html") && p.Header.Get("Content-Disposition") == "":
			data, err := io.ReadAll(quotedprintable.NewReader(p))
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, data)
		}
	}
}

// signed is what is on a sheet that was signed on the screen and sealed, as its record is printed.
func signed() printout.Options {
	return printout.Options{Seal: "PL1-DEMO-CODE", Identifiers: printout.Identifiers{Name: "Demo Person", Born: "1990-01-01", Chart: "D-1"},
		Signed: []printout.Signed{
			{Line: "sheet.sign.patient", Label: "Patient", Text: "Demo Person, drawn here, December 9, 2026", Width: 300, Height: 100, Strokes: [][]int{{10, 10, 60, 70, 90, 20}, {120, 50}}},
			{Line: "", Label: "Witness", Text: "Demo Witness"},
		}}
}

// Sheets of every kind in every form, the mail's part in HTML and a signed sheet.
func TestTheNuCheckerFindsNoError(t *testing.T) {
	if testing.Short() {
		t.Skip("needs Java")
	}
	m := &markup{t: t, dir: t.TempDir()}
	plain := printout.Options{}
	for _, name := range []string{"ten-teeth-no-prep", "two-teeth", "waits-private", "minor-interpreter", "mixed-routes", "conventional-eight", "at-try-in", "delivered"} {
		in := input(t, name)
		for _, kind := range sheet.Kinds() {
			for _, l := range i18n.Languages() {
				m.page(name, cell{kind, l.Tag, "", "a4", "normal"}, in, plain)
			}
		}
	}
	ten := settled(t, input(t, "ten-teeth-no-prep"))
	hand := ten
	hand.Practice.Fees, hand.Case.People, hand.Case.Answers, hand.Case.ID = nil, nil, nil, ""
	for _, kind := range sheet.Kinds() {
		for _, pair := range [][2]string{{"es", "en"}, {"ar", "en"}, {"en", "es"}} {
			m.page("pair", cell{kind, pair[0], pair[1], "letter", "normal"}, ten, plain)
			m.page("pair", cell{kind, pair[0], pair[1], "a4", "large"}, ten, plain)
		}
		m.page("large", cell{kind, "en", "", "letter", "large"}, ten, plain)
		m.page("large", cell{kind, "ar", "", "letter", "large"}, ten, plain)
		m.page("hand", cell{kind, "en", "", "a4", "normal"}, hand, plain)
		m.page("record", cell{kind, "en", "", "a4", "normal"}, ten, signed())
		m.page("record", cell{kind, "es", "ar", "a4", "normal"}, ten, signed())
		m.mailed("ten", cell{kind, "en", "", "a4", "normal"}, ten)
		m.mailed("ten", cell{kind, "ar", "en", "a4", "normal"}, ten)
	}
	if len(m.files) < 200 {
		t.Fatalf("only %d pages", len(m.files))
	}
	for range m.files {
		outside.Note(nuChecker)
	}
	type found struct {
		remark
		files map[string]bool
	}
	all := map[string]*found{}
	for _, r := range nu(t, m.files...) {
		key := r.Type + " " + r.SubType + ": " + r.Message
		if all[key] == nil {
			all[key] = &found{r, map[string]bool{}}
		}
		all[key].files[filepath.Base(r.URL)] = true
	}
	var lines []string
	still := map[string]bool{}
	for key, f := range all {
		line := fmt.Sprintf("%s\n\ton %d pages, such as %s:%d: %q", key, len(f.files), filepath.Base(f.URL), f.LastLine, f.Extract)
		lines = append(lines, line)
		if still[f.Message] = true; f.isError() && !slices.Contains(owed, f.Message) {
			t.Error(line)
		}
	}
	for _, message := range owed {
		if !still[message] {
			t.Errorf("no page has this any more; take it out of the list: %s", message)
		}
	}
	slices.Sort(lines)
	t.Logf("%d pages, remarks:\n%s", len(m.files), strings.Join(lines, "\n"))
}

// The checker sees what a sheet could have wrong.
func TestTheNuCheckerSeesErrors(t *testing.T) {
	if testing.Short() {
		t.Skip("needs Java")
	}
	whole := string(cell{sheet.Change, "en", "", "a4", "normal"}.page(t, input(t, "two-teeth")))
	m := &markup{t: t, dir: t.TempDir()}
	m.add("whole", []byte(whole))
	var want []string
	for i, p := range []struct{ from, to, said string }{
		{"<h2", "<div><h2", "Unclosed element"},
		{"<ul", "<ul><p>x</p></ul><ul", "not allowed as child"},
		{"<h1", `<b id="a"></b><b id="a"></b><h1`, "Duplicate ID"},
		{"<h1", `<h1 dir="up"`, "Bad value"},
		{"<h1", `<h1 role="button heading none" aria-nothing="x"`, "not allowed on element"},
	} {
		spoiled := strings.Replace(whole, p.from, p.to, 1)
		if spoiled == whole {
			t.Fatalf("no %q on the sheet", p.from)
		}
		m.add(fmt.Sprint("spoiled", i), []byte(spoiled))
		want = append(want, p.said)
	}
	said := map[string]string{}
	for _, r := range nu(t, m.files...) {
		if r.isError() && !slices.Contains(owed, r.Message) {
			said[filepath.Base(r.URL)] += r.Message + "\n"
		}
	}
	if e := said["whole.html"]; e != "" {
		t.Errorf("errors where nothing is spoiled: %s", e)
	}
	for i, w := range want {
		if got := said[fmt.Sprintf("spoiled%d.html", i)]; !strings.Contains(got, w) {
			t.Errorf("%q is not seen: %q", w, got)
		}
	}
}
