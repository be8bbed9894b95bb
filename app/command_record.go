//go:build !js

package main

import (
	"bufio"
	"cmp"
	"crypto/rand"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"golang.org/x/term"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/produce"
	"plainleaf/app/record"
	"plainleaf/app/render"
	"plainleaf/app/strict"
	"plainleaf/build/whole"
	"plainleaf/i18n"
)

// passphraseVariable holds the passphrase of the key. It is never an argument,
// which every other program on the machine could read.
const passphraseVariable = "PLAINLEAF_PASSPHRASE"

// signing is the file with what was typed and drawn when the cases were signed,
// by the ids of the cases.
type signing struct {
	Version int                 `json:"version"`
	Cases   map[string]signedAt `json:"cases"`
}

type signedAt struct {
	Identifiers *record.Identifiers `json:"identifiers,omitempty"`
	Decision    record.Decision     `json:"decision"`
	Signatures  []record.Signature  `json:"signatures,omitempty"`
}

// sealer seals one case after another; it keeps nothing of a case it has sealed.
type sealer struct {
	desk
	digests  map[string]string
	key      *record.Key
	kind     record.Kind
	locale   string
	second   string
	signing  signing
	met      map[string]bool // ids in signing that a case had
	previous func(c casefile.Case) (string, fault.List)
	dir      string
}

// sealing is what is asked of seal.
type sealing struct {
	kind, locale, second                 string
	practice, key, signed, previous, dir string
	newKey, owner, role, since           string
	from                                 phrase
}

func sealCases(f *flag.FlagSet) action {
	var a sealing
	f.StringVar(&a.kind, "kind", string(record.Consent), "consent, tryin, change, aftercare, withdrawal, refusal or superseding")
	f.StringVar(&a.locale, "locale", "", "`language` of the sheet; the case's without it")
	f.StringVar(&a.second, "second", "", "`language` beside it; the case's without it")
	f.StringVar(&a.practice, "practice", "", "practice `file`; the demo practice without one")
	f.StringVar(&a.key, "key", "", "private key `file`; without one the record has hashes and no signature")
	f.IntVar(&a.from.fd, "passphrase-fd", -1, "file `descriptor` to read the passphrase from; without it "+passphraseVariable+", or the terminal")
	f.StringVar(&a.from.file, "passphrase-file", "", "`file` to read the passphrase from, its first line")
	f.StringVar(&a.signed, "signing", "", "`file` with identifiers, decision and signatures by case id")
	f.StringVar(&a.previous, "previous", "", "`record` that the new one follows, or a folder of records to find it in")
	f.StringVar(&a.dir, "out", "", "`folder` to write the records to")
	f.StringVar(&a.newKey, "newkey", "", "`file` to write a new private key to, and with .pub its public half; nothing is sealed")
	f.StringVar(&a.owner, "owner", "", "with -newkey: `whose` key it is")
	f.StringVar(&a.role, "role", "", "with -newkey: the owner's `role`")
	f.StringVar(&a.since, "from", "", "with -newkey: `date` from which the key is used")
	return a.seal
}

func (a *sealing) seal(c *call) int {
	switch {
	case a.newKey != "":
		if len(c.args) > 0 || a.key != "" || a.dir != "" {
			return c.wrong("-newkey only makes a key")
		}
		if faults := makeKey(a.newKey, a.owner, a.role, a.since, a.from, c.errw); len(faults) > 0 {
			return refuse(c.errw, faults)
		}
		return good
	case a.dir == "" || len(c.args) == 0:
		return c.wrong("name -out and one case file or more, or - for standard input")
	case !slices.Contains(record.Kinds(), record.Kind(a.kind)):
		return c.wrong("-kind %q is not one of %v", a.kind, record.Kinds())
	}
	if code := c.speaks(a.locale, a.second); code != good {
		return code
	}
	s := &sealer{kind: record.Kind(a.kind), locale: a.locale, second: a.second, dir: a.dir, digests: map[string]string{}, met: map[string]bool{}}
	faults := s.open(a.practice, a.key, a.from, a.signed, a.previous, c.errw)
	if len(faults) == 0 {
		if err := os.MkdirAll(a.dir, 0o700); err != nil {
			faults.Append(unwritten(a.dir, err))
		}
		whole.Clear(a.dir)
	}
	if len(faults) > 0 {
		return refuse(c.errw, faults)
	}
	code := good
	for _, name := range c.args {
		faults := s.one(name, c.in)
		if len(faults) > 0 {
			code = refuse(c.errw, faults.Under(name))
		}
	}
	// A signature that went into no record is told: its id may be mistyped.
	for id := range s.signing.Cases {
		if !s.met[id] {
			faults.Add("SIGNING-CASE", a.signed+":cases."+id, "none of the cases has this id")
		}
	}
	if len(faults) > 0 {
		code = refuse(c.errw, faults)
	}
	if code == good { // beside faults a note would be overlooked
		mention(c.errw, readable(a.dir))
	}
	return code
}

// readable notes that other accounts of the machine can look into a folder. It stays so:
// whoever made it may have had a reason.
func readable(dir string) (notes fault.List) {
	info, err := os.Stat(dir)
	if err == nil && runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0 { // there it says nothing
		notes.Add("FOLDER-OPEN", dir, "other accounts on this machine can see what is in this folder (permissions %o); "+
			"they cannot read the records: to hide those too, chmod 700 it", info.Mode().Perm())
	}
	return notes
}

// open reads what all cases have in common.
func (s *sealer) open(practice, keyFile string, from phrase, signed, previous string, errw io.Writer) fault.List {
	d, faults := openDesk(practice)
	if len(faults) > 0 {
		return faults
	}
	s.desk = d
	if signed != "" {
		data, faults := readFile(signed, nil)
		if len(faults) == 0 {
			faults, _ = strict.Decode(data, &s.signing)
		}
		if len(faults) == 0 && s.signing.Version != 1 {
			faults.Add("SIGNING-VERSION", signed+":version", "not a signing file of version 1")
		}
		if _, nameless := s.signing.Cases[""]; nameless {
			faults.Add("SIGNING-CASE", signed+":cases", "a signature belongs to the id of one case")
		}
		if len(faults) > 0 {
			return faults
		}
	}
	s.previous, faults = previously(previous, s.kind)
	if len(faults) > 0 || keyFile == "" {
		return faults
	}
	data, faults := readFile(keyFile, nil)
	if len(faults) > 0 {
		return faults
	}
	typed, faults := from.read(errw, false)
	if len(faults) > 0 {
		return faults
	}
	k, faults := record.OpenKey(data, typed)
	s.key = &k
	return faults
}

// one seals one case.
func (s *sealer) one(name string, in io.Reader) fault.List {
	c, faults := s.read(name, in)
	if len(faults) > 0 {
		return faults
	}
	input := s.input(c, s.kind.Sheet(), s.locale, s.second)
	if input.Second == "" && c.Second != input.Locale {
		input.Second = c.Second
	}
	// Nothing is refused a seal for its review state: words without a sign-off are
	// sealed as they may be shown, beside the practice's own language.
	if own := s.practice.Locale; input.Second == "" && input.Locale != own && render.Signed(s.practice, input.Kind, input.Locale) == nil {
		input.Second = own
	}
	docs, pl, faults := produce.Docs(input)
	if len(faults) > 0 {
		return faults
	}
	at, ok := s.signing.Cases[c.ID]
	if ok {
		s.met[c.ID] = true
	}
	seal := produce.Seal{Kind: s.kind, Identifiers: at.Identifiers, Decision: at.Decision, Signatures: at.Signatures,
		Key: s.key, Digest: s.digest}
	if s.previous != nil {
		if seal.Previous, faults = s.previous(c); len(faults) > 0 {
			return faults
		}
	}
	file, rec, m, faults := produce.Sealed(input, pl, docs, seal)
	if len(faults) > 0 {
		return faults
	}
	return replaceFile(filepath.Join(s.dir, produce.RecordName(rec, m)), file, whole.Private)
}

// digest computes a wording's digest once.
func (s *sealer) digest(tag string) string {
	if s.digests[tag] == "" {
		w, faults := s.words(tag)
		if len(faults) > 0 {
			return ""
		}
		s.digests[tag] = render.Digest(w)
	}
	return s.digests[tag]
}

// previously finds the record that a new one follows: the one named, or in a
// folder the one of the same case that settled something and no other follows,
// and that a record of the kind may follow.
func previously(name string, kind record.Kind) (func(c casefile.Case) (string, fault.List), fault.List) {
	var faults fault.List
	if name == "" {
		return nil, nil
	}
	files, found := []string{name}, false
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		found = true
		if files, err = filepath.Glob(filepath.Join(name, "*.json")); err != nil {
			faults.Add("FILE-READ", name, "%v", err)
			return nil, faults
		}
	}
	last, followed, about := map[string][]string{}, map[string]bool{}, map[string]record.About{}
	for _, file := range files {
		data, f := readFile(file, nil)
		if len(f) > 0 {
			return nil, f
		}
		v := record.Verify(data, nil)
		if v.Integrity != record.Intact || v.Signer == record.Wrong {
			faults.Add("RECORD-PREVIOUS", file, "no record that is intact")
			continue
		}
		if !found || record.Kind(v.Record.Kind).Settles() {
			last[v.Record.ID] = append(last[v.Record.ID], v.SHA256)
		}
		followed[v.Record.Previous] = true
		about[v.SHA256] = v.Record
	}
	return func(c casefile.Case) (string, fault.List) {
		fail := func(format string, a ...any) (string, fault.List) {
			return "", fault.List{fault.New("RECORD-PREVIOUS", "previous", format, a...)}
		}
		if found && c.ID == "" { // any other case without one would do
			return fail("a case without an id is not found in a folder: name the record")
		}
		var heads []string
		for _, sum := range last[c.ID] {
			if !followed[sum] {
				heads = append(heads, sum)
			}
		}
		if len(heads) != 1 {
			return fail("%d records of this case that something was settled by and no other follows; one is needed", len(heads))
		}
		earlier := about[heads[0]]
		its, _ := casefile.ParseDate(earlier.Issued)
		switch kind.Unfollowed(record.Kind(earlier.Kind), its, c.Issued) {
		case "withdrawn":
			return fail("what this record would follow was withdrawn; only a new consent follows that")
		case "nothing":
			return fail("what this record would follow is a record of kind %q, by which nothing was agreed", earlier.Kind)
		case "later":
			return fail("what this record would follow was issued later, on %s", earlier.Issued)
		}
		return heads[0], nil
	}, faults
}

// phrase says where the passphrase of a key comes from: a file, a file descriptor,
// the variable, or whoever sits at the terminal, who is asked without echo.
type phrase struct {
	fd   int    // -1 for none
	file string // "" for none
}

// read gives the passphrase; twice has a person type it twice.
func (p phrase) read(errw io.Writer, twice bool) (string, fault.List) {
	fail := func(format string, a ...any) (string, fault.List) {
		return "", fault.List{fault.New("KEY-PASSPHRASE", "", format, a...)}
	}
	first := func(r io.Reader, name string) (string, fault.List) {
		line, err := bufio.NewReader(io.LimitReader(r, 4096)).ReadString('\n')
		if err != nil && err != io.EOF {
			return fail("%s: %v", name, err)
		}
		return strings.TrimRight(line, "\r\n"), nil
	}
	switch {
	case p.file != "":
		f, err := os.Open(p.file)
		if err != nil {
			return fail("%v", err)
		}
		defer f.Close()
		return first(f, p.file)
	case p.fd >= 0:
		return first(os.NewFile(uintptr(p.fd), "passphrase"), fmt.Sprintf("file descriptor %d", p.fd))
	case os.Getenv(passphraseVariable) != "":
		return os.Getenv(passphraseVariable), nil
	case !term.IsTerminal(int(os.Stdin.Fd())):
		return fail("give the passphrase in %s, through -passphrase-file or -passphrase-fd, or at a terminal", passphraseVariable)
	}
	ask := func(prompt string) (string, error) {
		fmt.Fprint(errw, prompt)
		line, err := term.ReadPassword(int(os.Stdin.Fd()))
		fmt.Fprintln(errw)
		return string(line), err
	}
	typed, err := ask("Passphrase: ")
	if err == nil && twice {
		var again string
		if again, err = ask("The same again: "); err == nil && again != typed {
			return fail("the two passphrases differ")
		}
	}
	if err != nil {
		return fail("%v", err)
	}
	return typed, nil
}

// makeKey writes a new key and its public half; no file is ever replaced.
func makeKey(name, owner, role, from string, secret phrase, errw io.Writer) fault.List {
	var faults fault.List
	var since casefile.Date
	if from != "" {
		var err error
		if since, err = casefile.ParseDate(from); err != nil {
			faults.Add("DATE-INVALID", "from", "%v", err)
			return faults
		}
	}
	for _, n := range []string{name, name + ".pub"} { // before anything is written
		if _, err := os.Lstat(n); err == nil {
			faults.Append(unwritten(n, fs.ErrExist))
		}
	}
	if len(faults) > 0 {
		return faults
	}
	typed, faults := secret.read(errw, true)
	if len(faults) > 0 {
		return faults
	}
	k, err := record.NewKey(rand.Reader)
	if err != nil {
		faults.Add("KEY-RANDOM", "", "%v", err)
		return faults
	}
	data, faults := k.Wrap(typed, rand.Reader)
	if len(faults) > 0 {
		return faults
	}
	for _, f := range []struct {
		name string
		data []byte
		mode os.FileMode
	}{{name, data, 0o600}, {name + ".pub", k.PublicFile(owner, role, since), 0o644}} {
		if err := whole.New(f.name, f.data, f.mode); err != nil {
			return fault.List{unwritten(f.name, err)}
		}
	}
	return nil
}

// verifyRecord tells integrity, signer and trust of a record apart.
func verifyRecord(f *flag.FlagSet) action {
	keys := f.String("key", "", "`file` with a public key, or with a list of trusted keys")
	code := f.String("code", "", "seal `code` from the patient's copy, to compare")
	asJSON := f.Bool("json", false, "write the verdicts as JSON")
	return func(c *call) int {
		if len(c.args) != 1 {
			return c.wrong("name one record, or - for standard input")
		}
		return c.verify(*keys, *code, *asJSON)
	}
}

func (c *call) verify(keys, code string, asJSON bool) int {
	trust, faults := trusted(keys)
	if len(faults) > 0 {
		return refuse(c.errw, faults)
	}
	data, faults := readFile(c.args[0], c.in)
	v := record.Verify(data, trust) // unreadable where there is no data
	if len(faults) > 0 {
		v.Faults = faults
	}
	copied := copyFits(code, v)
	fine := v.Good() && (copied == "" || copied == "fits")
	if asJSON {
		b, _ := json.MarshalIndent(struct {
			Good bool `json:"good"`
			record.Verdict
			Copy string `json:"copy,omitempty"` // the patient's copy: fits, differs or mistyped
		}{fine, v, copied}, "", "  ")
		fmt.Fprintln(c.out, string(b))
	} else if v.Integrity != record.Unreadable {
		tell(c.out, v, copied)
	}
	if fine {
		return good
	}
	return refuse(c.errw, findings(v, copied))
}

// trusted reads a public key or a list of trusted keys; no name is no list.
func trusted(name string) (*record.Trust, fault.List) {
	if name == "" {
		return nil, nil
	}
	data, faults := readFile(name, nil)
	if len(faults) > 0 {
		return nil, faults
	}
	t, faults := record.ReadTrust(data)
	return &t, faults
}

// exportFHIR writes a record that is intact, and where keys are given signed by one
// of them, as a FHIR R4 Consent.
func exportFHIR(f *flag.FlagSet) action {
	keys := f.String("key", "", "`file` with a public key, or with a list of trusted keys, one of which must have signed")
	file := f.String("out", "", "`file` to write instead of standard output")
	return func(c *call) int {
		if len(c.args) != 1 {
			return c.wrong("name one record, or - for standard input")
		}
		if in := replaced([]string{*file}, append(c.args, *keys)); in != "" {
			return c.wrong("-out would replace what is read, %s", in)
		}
		trust, faults := trusted(*keys)
		if len(faults) > 0 {
			return refuse(c.errw, faults)
		}
		data, faults := readFile(c.args[0], c.in)
		if len(faults) == 0 {
			data, faults = record.FHIR(data, trust)
		}
		if len(faults) > 0 {
			return refuse(c.errw, faults)
		}
		return c.put(*file, data, whole.Private)
	}
}

// copyFits compares a typed seal code: "" without one, fits, differs, mistyped.
func copyFits(typed string, v record.Verdict) string {
	if typed == "" {
		return ""
	}
	c, ok := record.ParseCode(typed)
	switch {
	case !ok:
		return "mistyped"
	case c == v.Code:
		return "fits"
	}
	return "differs"
}

// findings turns what speaks against a record into faults.
func findings(v record.Verdict, copied string) fault.List {
	faults := slices.Clone(v.Faults)
	for _, p := range v.Where {
		faults.Add("RECORD-CHANGED", p.Path, "%s since it was sealed", p.What)
	}
	if v.Integrity != record.Unreadable {
		if v.Signer == record.Wrong {
			faults.Add("RECORD-SIGNATURE", "seal.signature", "the signature is not of this record by this key")
		}
		if v.Trust != record.NotAsked && v.Trust != record.Trusted {
			faults.Add("RECORD-TRUST", "seal.signature.key", "trust: %s", v.Trust)
		}
		if copied != "" && copied != "fits" {
			faults.Add("RECORD-CODE", "seal.code", "the code of the patient's copy: %s", copied)
		}
	}
	return faults
}

// tell says the verdicts in the words the screens use.
func tell(out io.Writer, v record.Verdict, copied string) {
	w, faults := wordings(casefile.Practice{})(i18n.Source().Tag)
	if len(faults) > 0 {
		return
	}
	say := func(id string, nv ...string) string {
		args := map[string]string{}
		for i := 0; i+1 < len(nv); i += 2 {
			args[nv[i]] = plainText(nv[i+1])
		}
		s, err := w.Text("record."+id, args, "")
		if err != nil {
			return "record." + id
		}
		return s
	}
	line := func(id string, nv ...string) { fmt.Fprintln(out, say(id, nv...)) }
	line(strings.TrimPrefix(v.IntegrityWord(), "record."))
	for _, p := range v.Where {
		n := v.Named(p)
		at := say(strings.TrimPrefix(n.ID, "record."), "Language", w.Language().NameOf(n.Language), "Text", n.Heading)
		line("where."+p.What, "Text", at+" ("+p.Path+")")
	}
	if v.Signer == record.Signed {
		line("signer.signed", "Code", v.Key)
	} else {
		line("signer." + v.Signer)
	}
	line("trust." + v.Trust)
	if v.Owner != "" {
		line("trust.owner", "Name", strings.TrimSuffix(v.Owner+", "+v.Role, ", "))
	}
	// Of what it is a record, as it says itself: another one may be as good.
	fact := func(id string, values ...string) {
		label, err := w.Text("page.verify."+id, nil, "")
		if err != nil {
			label = id
		}
		values = slices.DeleteFunc(values, func(s string) bool { return s == "" })
		for i := range values {
			values[i] = plainText(values[i])
		}
		if len(values) > 0 {
			fmt.Fprintln(out, label+": "+strings.Join(values, " · "))
		}
	}
	about := v.Record
	kind := about.Kind
	if slices.Contains(record.Kinds(), record.Kind(kind)) {
		kind = say("kind." + kind)
	}
	fact("kind", kind, about.Issued, about.ID, about.Practice)
	fact("previous", cmp.Or(record.Code(about.Previous), about.Previous))
	line("code.is", "Code", v.Code)
	if copied != "" {
		line("code." + copied)
	}
	for _, r := range v.Record.Wordings {
		name := w.Language().NameOf(r.Locale)
		if slices.Contains(i18n.ReviewStates, r.State) {
			line("review."+r.State, "Language", name)
		}
	}
	for _, id := range v.Record.Limits {
		if id, ours := strings.CutPrefix(id, "record."); ours && strings.HasPrefix(id, "limit.") && w.Has("record."+id) {
			line(id)
		}
	}
}

// plainText is text of a record, which may be hostile, safe for a terminal.
func plainText(s string) string {
	return strings.Split(fault.Fault{Code: "x", Path: "x", Text: s}.Line(), "\t")[2]
}
