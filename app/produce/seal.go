package produce

import (
	"cmp"
	"runtime/debug"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/record"
	"plainleaf/app/render"
)

// Seal is what turns a sheet into a sealed record.
type Seal struct {
	Kind        record.Kind
	At          string // when, RFC 3339 with the distance from UTC; "" leaves it out
	Previous    string // hash of the record this one follows
	Identifiers *record.Identifiers
	Decision    record.Decision
	Signatures  []record.Signature
	Key         *record.Key // nil for hashes without a signature
	// Digest gives the digest of a language's wording.
	Digest func(tag string) string
}

// Sealed makes the sealed record of exactly the documents of a sheet. The kind
// itself says what was decided where it is a withdrawal or a refusal. Codes as
// those of record.New and record.Seal, and OPEN-SIGNING where something holds a yes
// back.
func Sealed(in Input, pl plan.Plan, docs []render.Doc, s Seal) (file []byte, rec record.Record, mark record.Mark, faults fault.List) {
	if s.Decision.What == "" {
		s.Decision.What = map[record.Kind]string{record.Withdrawal: "withdrawn", record.Refusal: "refused"}[s.Kind]
	}
	if faults = unsigned(pl, s); len(faults) > 0 {
		return nil, rec, mark, faults
	}
	r := record.Input{Kind: s.Kind, Case: in.Case, Docs: docs, Program: Program(), Sealed: s.At, Keyed: s.Key != nil,
		Previous: s.Previous, Identifiers: s.Identifiers, Decision: s.Decision, Signatures: s.Signatures,
		Word: func(tag, id string) (string, error) {
			w, faults := in.Wording(tag)
			if len(faults) > 0 {
				return "", faults.Err()
			}
			return w.Text(id, nil, "")
		}}
	for _, ch := range pl.ChairChanges {
		a := record.Answer{Change: ch.Key, Teeth: ch.Teeth, Answer: ch.Answer}
		if len(ch.Contacts) > 0 {
			a.Places = ch.Places
		}
		r.Answers = append(r.Answers, a)
	}
	for _, o := range pl.Open {
		r.Open = append(r.Open, record.Open{What: o.What, Key: o.Key, Teeth: o.Teeth, Whose: o.Whose, Reason: o.Reason})
	}
	for _, d := range docs {
		r.Digests = append(r.Digests, s.Digest(d.Locale))
	}
	if rec, faults = record.New(r); len(faults) > 0 {
		return nil, rec, mark, faults
	}
	file, mark, faults = record.Seal(rec, s.Key)
	return file, rec, mark, faults
}

// unsigned lists what keeps a yes from being sealed: every open point that holds the
// signing back on the day it was given. A record without a yes says what was shown,
// and holds nothing back.
func unsigned(pl plan.Plan, s Seal) (faults fault.List) {
	if !s.yes() {
		return nil
	}
	day := s.Decision.On
	if !day.Exists() {
		stated, _, _ := strings.Cut(cmp.Or(s.Decision.At, s.At), "T")
		day, _ = casefile.ParseDate(stated)
	}
	for _, o := range pl.HeldFor(string(s.Kind.Sheet()), day) {
		what := o.What
		if o.Key != "" {
			what += " " + o.Key
		}
		if o.From.Exists() {
			what += " until " + o.From.String()
		}
		faults.Append(fault.New("OPEN-SIGNING", "decision", "this cannot be signed yet: %s is open", what).With("Text", what))
	}
	return faults
}

// yes reports whether the record is of a yes: stated, or signed by somebody other
// than the dentist and the interpreter without any other decision.
func (s Seal) yes() bool {
	if s.Kind == record.Withdrawal || s.Kind == record.Refusal || s.Kind == record.Aftercare {
		return false
	}
	signed := slices.ContainsFunc(s.Signatures, func(x record.Signature) bool {
		return x.Role != "dentist" && x.Role != "interpreter" && x.Role != "witness"
	})
	return s.Decision.What == "agreed" || s.Decision.What == "" && signed
}

// RecordName is a file name for a record that names nobody: the case's id, the
// kind, the date and the start of the hash.
func RecordName(r record.Record, m record.Mark) string {
	id := r.ID
	if id == "" || id[0] == '-' { // a name that starts so would be taken for a flag
		id = "case" + id
	}
	return id + "-" + string(r.Kind) + "-" + r.Issued.String() + "-" + m.SHA256[:12] + ".json"
}

// Program names this program and its version.
func Program() string {
	v := "devel"
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" && info.Main.Version != "(devel)" {
		v = info.Main.Version
	}
	return "plainleaf " + v
}
