//go:build !js

package exchange

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"plainleaf/app/fault"
	"plainleaf/app/safetext"
	"plainleaf/app/strict"
	"plainleaf/i18n"
)

const (
	// MaxBytes is the most bytes a file may have. Other inputs may have 1 MiB, but all
	// the words of two languages with their notes are 2 to 3 MB, and an editor may
	// put its own notes and proposals beside every sentence.
	MaxBytes = 16 << 20
	// MaxDepth is how deep elements may stand in each other; a file of ours has 8.
	MaxDepth = 32
	// MaxUnits is the most units a file may have; one of ours has some 2500.
	MaxUnits = 50_000
)

// File is what a translator's file holds.
type File struct {
	Source, Target string // language tags
	Units          []Unit
}

// Unit is one form of one message, its values as {{.Name}}.
type Unit struct {
	ID, State      string
	Source, Target string // Target is "" without one
}

// ReadFrom takes a file from a stream and never more than MaxBytes + 1 of it.
func ReadFrom(r io.Reader) ([]byte, fault.List) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return nil, fault.List{fault.New("EXCHANGE-READ", "", "the file cannot be read: %v", err)}
	}
	if len(data) > MaxBytes {
		return nil, tooLarge()
	}
	return data, nil
}

func tooLarge() fault.List {
	return fault.List{fault.New("EXCHANGE-SIZE", "", "the file is larger than %d MiB: no file of words is", MaxBytes>>20)}
}

// Read reads an XLIFF file that nobody has checked. It resolves no entity but the
// five of XML, reads no document type and opens no other file. Elements of other
// namespaces, which editors add, are passed over where XLIFF lets them stand; inside
// a sentence only text, the program's own marks and comments' markers may. Every
// fault is collected, its path the id of the unit, or "$" where it is the whole
// file's. Beside faults the file is only good for Leave.
func Read(data []byte) (File, fault.List) {
	r := &reader{seen: map[string]bool{}}
	data = bytes.TrimPrefix(data, []byte("\ufeff")) // some editors write one, and XML allows it
	switch {
	case len(data) > MaxBytes:
		return File{}, tooLarge()
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}) || bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		r.add("EXCHANGE-UTF8", "the file is written in UTF-16: have it saved as UTF-8")
		return File{}, r.faults
	case len(bytes.TrimSpace(data)) > 0 && bytes.TrimSpace(data)[0] != '<':
		r.add("EXCHANGE-FORMAT", "this is no XLIFF file: it begins with %q", safetext.Cut(string(data[:min(8, len(data))])))
		return File{}, r.faults
	case !utf8.Valid(data):
		at := 0
		for rest := data; len(rest) > 0; {
			c, n := utf8.DecodeRune(rest)
			if c == utf8.RuneError && n == 1 {
				break
			}
			rest, at = rest[n:], at+n
		}
		r.add("EXCHANGE-UTF8", "line %d is not UTF-8: have the file saved as UTF-8", 1+bytes.Count(data[:at], []byte("\n")))
		return File{}, r.faults
	}
	r.d = xml.NewDecoder(bytes.NewReader(data))
	r.document()
	return r.file, r.faults
}

type reader struct {
	d      *xml.Decoder
	file   File
	faults fault.List
	broken bool // nothing more can be read
	depth  int
	unit   string // the unit being read, "" outside of one
	seen   map[string]bool
}

func (r *reader) add(code, format string, a ...any) {
	switch n := len(r.faults); {
	case n < strict.MaxFaults:
		r.faults.Add(code, r.unit, format, a...)
	case n == strict.MaxFaults:
		r.faults.Add("EXCHANGE-MORE", "", "there are more faults; these are the first %d", n)
	}
}

// stop is add for what cannot be read past.
func (r *reader) stop(code, format string, a ...any) {
	if !r.broken {
		line, _ := r.d.InputPos()
		where := fmt.Sprintf("line %d: ", line)
		if r.unit != "" {
			where = fmt.Sprintf("line %d, in %s: ", line, safetext.Cut(r.unit))
		}
		r.unit = "" // the whole file's fault
		r.faults.Add(code, "", "%s", where+fmt.Sprintf(format, a...))
	}
	r.broken = true
}

// token gives the next token, nil at the end or where reading breaks off.
func (r *reader) token() xml.Token {
	if r.broken {
		return nil
	}
	t, err := r.d.Token()
	if err != nil {
		if bad := (*xml.SyntaxError)(nil); errors.As(err, &bad) {
			r.stop("EXCHANGE-XML", "the file is damaged: %s", bad.Msg)
		} else if err != io.EOF {
			r.stop("EXCHANGE-XML", "the file is damaged: %v", err)
		}
		return nil
	}
	switch t := t.(type) {
	case xml.Directive:
		r.stop("EXCHANGE-DTD", "the file has a document type, which could stand for anything: have it saved without")
		return nil
	case xml.ProcInst:
		if t.Target == "xml" && r.d.InputOffset() > int64(len(t.Inst)+16) {
			r.stop("EXCHANGE-XML", "the file is damaged: it begins twice")
			return nil
		}
	case xml.StartElement:
		if r.depth++; r.depth > MaxDepth {
			r.stop("EXCHANGE-DEEP", "elements stand in each other more than %d deep", MaxDepth)
			return nil
		}
		names := map[xml.Name]bool{}
		for _, a := range t.Attr {
			if names[a.Name] {
				r.stop("EXCHANGE-XML", "the file is damaged: an element has %q twice", safetext.Cut(a.Name.Local))
				return nil
			}
			names[a.Name] = true
			if a.Name.Space != "xmlns" && undeclared(a.Name.Space) {
				r.stop("EXCHANGE-XML", "the file is damaged: prefix %q stands for nothing", safetext.Cut(a.Name.Space))
				return nil
			}
		}
		if undeclared(t.Name.Space) {
			r.stop("EXCHANGE-XML", "the file is damaged: prefix %q stands for nothing", safetext.Cut(t.Name.Space))
			return nil
		}
	case xml.EndElement:
		r.depth--
	}
	return t
}

// undeclared tells a prefix, which the decoder leaves where no namespace is declared
// for it, from a namespace.
func undeclared(space string) bool { return space != "" && !strings.Contains(space, ":") }

// children calls take for each element in the one that was just opened, until its
// end. take must read its element to the end.
func (r *reader) children(take func(xml.StartElement)) {
	for {
		switch t := r.token().(type) {
		case nil, xml.EndElement:
			return
		case xml.CharData:
			if len(bytes.TrimSpace(t)) > 0 {
				r.add("EXCHANGE-ELEMENT", "there is text outside of any sentence: %q", safetext.Cut(string(t)))
			}
		case xml.StartElement:
			take(t)
		}
	}
}

// skip reads an element to its end.
func (r *reader) skip() {
	for open := 1; open > 0; {
		switch r.token().(type) {
		case nil:
			return
		case xml.StartElement:
			open++
		case xml.EndElement:
			open--
		}
	}
}

// other passes over an element that is not of XLIFF's core, and refuses one that is
// and that has no business here.
func (r *reader) other(e xml.StartElement, in string) {
	if e.Name.Space == namespace {
		r.add("EXCHANGE-ELEMENT", "an element %q in %s is not known here", safetext.Cut(e.Name.Local), in)
	}
	r.skip()
}

func attr(e xml.StartElement, name string) (string, bool) {
	for _, a := range e.Attr {
		if a.Name.Space == "" && a.Name.Local == name {
			return a.Value, true
		}
	}
	return "", false
}

func (r *reader) document() {
	root := false
	r.children(func(e xml.StartElement) {
		switch {
		case root:
			r.stop("EXCHANGE-XML", "the file is damaged: it goes on after its end")
		case e.Name.Local != "xliff":
			r.stop("EXCHANGE-FORMAT", "this is no XLIFF file: it begins with %q", safetext.Cut(e.Name.Local))
		case e.Name.Space != namespace:
			r.stop("EXCHANGE-FORMAT", "the file is XLIFF of another version (%q): have it saved as XLIFF 2.0", safetext.Cut(e.Name.Space))
		default:
			root = true
			r.xliff(e)
		}
	})
	if !root && !r.broken {
		r.stop("EXCHANGE-FORMAT", "this is no XLIFF file: it is empty")
	}
}

func (r *reader) xliff(e xml.StartElement) {
	if v, _ := attr(e, "version"); v != "2.0" && v != "2.1" {
		r.add("EXCHANGE-FORMAT", "the file is XLIFF of version %q: have it saved as XLIFF 2.0", safetext.Cut(v))
	}
	r.file.Source, _ = attr(e, "srcLang")
	r.file.Target, _ = attr(e, "trgLang")
	if r.file.Source == "" || r.file.Target == "" {
		r.add("EXCHANGE-LANGUAGE", "the file does not say from which language into which it is")
	}
	r.children(func(e xml.StartElement) {
		if e.Name.Space == namespace && e.Name.Local == "file" {
			r.group("a file")
			return
		}
		r.other(e, "the file")
	})
}

// group reads what a file or a group holds.
func (r *reader) group(in string) {
	r.children(func(e xml.StartElement) {
		if e.Name.Space != namespace {
			r.skip()
			return
		}
		switch e.Name.Local {
		case "notes":
			r.skip()
		case "group":
			r.group("a group")
		case "unit":
			r.readUnit(e)
		case "skeleton":
			r.add("EXCHANGE-OUTSIDE", "the file leans on another one (skeleton): have it saved without")
			r.skip()
		default:
			r.other(e, in)
		}
	})
}

func (r *reader) readUnit(e xml.StartElement) {
	id, _ := attr(e, "id")
	if r.unit = id; len(id) > 2*i18n.MaxID {
		r.unit = safetext.Cut(id)
	}
	defer func() { r.unit = "" }()
	u := Unit{ID: id}
	segments := 0
	r.children(func(e xml.StartElement) {
		if e.Name.Space != namespace {
			r.skip()
			return
		}
		switch e.Name.Local {
		case "notes", "originalData":
			r.skip()
		case "segment", "ignorable":
			if segments++; segments == 1 && e.Name.Local == "segment" {
				r.segment(e, &u)
				return
			}
			if segments == 2 || e.Name.Local == "ignorable" {
				r.add("EXCHANGE-SPLIT", "the sentence was split in parts: have them joined again, with segmentation off")
			}
			r.skip()
		default:
			r.other(e, "a unit")
		}
	})
	switch {
	case r.broken:
		return
	case id == "":
		r.add("EXCHANGE-ID", "a unit has no id, so nobody can say which sentence it is")
	case r.seen[id]:
		r.add("EXCHANGE-TWICE", "the sentence is there twice: take one of the two out")
	case segments == 0:
		r.add("EXCHANGE-ELEMENT", "the unit has no sentence in it")
	}
	if len(r.file.Units) == MaxUnits {
		r.stop("EXCHANGE-SIZE", "the file has more than %d sentences: no file of words has", MaxUnits)
		return
	}
	r.seen[id] = true
	r.file.Units = append(r.file.Units, u)
}

func (r *reader) segment(e xml.StartElement, u *Unit) {
	u.State = i18n.Initial
	if s, ok := attr(e, "state"); ok {
		u.State = s
	}
	if !slices.Contains(i18n.ReviewStates, u.State) {
		r.add("EXCHANGE-STATE", "state %q is not one of %s", safetext.Cut(u.State), strings.Join(i18n.ReviewStates, ", "))
	}
	sources, targets := 0, 0
	r.children(func(e xml.StartElement) {
		switch {
		case e.Name.Space == namespace && e.Name.Local == "source":
			sources++
			u.Source = r.run(false)
		case e.Name.Space == namespace && e.Name.Local == "target":
			targets++
			u.Target = r.run(true)
		default:
			r.add("EXCHANGE-ELEMENT", "an element %q beside the sentence is not known here", safetext.Cut(e.Name.Local))
			r.skip()
		}
	})
	if !r.broken && (sources != 1 || targets > 1) {
		r.add("EXCHANGE-ELEMENT", "a unit has one source and one translation; of this one there are %d and %d", sources, targets)
	}
}

// run reads a sentence with its marks to the end of its element.
func (r *reader) run(target bool) string {
	var b strings.Builder
	typed := false
	for open := 1; open > 0; {
		switch t := r.token().(type) {
		case nil:
			return ""
		case xml.EndElement:
			open--
		case xml.CharData:
			if target && !typed && bytes.ContainsAny(t, "{}") {
				typed = true
				r.add("EXCHANGE-BRACE", "braces are typed into the translation; a value is a mark that is taken over from the source: put the mark there")
			}
			b.Write(t)
		case xml.StartElement:
			name := t.Name.Local
			if t.Name.Space != namespace {
				name = "another program's " + name
			}
			switch name {
			case "mrk", "sm", "em": // a comment or a term that somebody marked; the words count
				open++
			case "ph":
				b.WriteString(r.mark(t))
			default:
				r.add("EXCHANGE-MARK", "the sentence holds %q, which is no mark of this program: take it out and keep the words", safetext.Cut(name))
				r.skip()
			}
		}
	}
	return b.String()
}

var markID = regexp.MustCompile(`^([A-Z][A-Za-z0-9]{0,31})(-[0-9]{1,3})?$`)

// mark reads a ph and gives its value as a placeholder.
func (r *reader) mark(e xml.StartElement) string {
	id, _ := attr(e, "id")
	if base, copied := attr(e, "copyOf"); copied {
		id = base
	}
	name := ""
	if m := markID.FindStringSubmatch(id); m != nil {
		name = m[1]
	}
	_, known := i18n.LookupPlaceholder(name)
	for _, a := range []string{"dataRef", "equiv"} {
		if v, ok := attr(e, a); ok && v != name {
			known = false
		}
	}
	if !known {
		r.add("EXCHANGE-MARK", "mark %q is none that this program put there: take it out, or take the right one over from the source", safetext.Cut(id))
	}
	r.children(func(e xml.StartElement) {
		r.add("EXCHANGE-MARK", "mark %q holds something", safetext.Cut(id))
		r.skip()
	})
	return "{{." + name + "}}"
}
