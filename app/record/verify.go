package record

import (
	"cmp"
	"crypto/ed25519"
	"encoding/base64"
	"fmt"
	"math"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/strict"
)

// The three verdicts on a record. None of them stands for another: a record that
// is intact by its own hash may have been written by anybody.
const (
	// Integrity.
	Intact     = "intact"
	Changed    = "changed"    // differs from what was hashed or signed; Where says where, as far as can be told
	Unreadable = "unreadable" // no record, or not strict JSON: Faults say why

	// Signer.
	Signed   = "signed"   // by the key named
	Unsigned = "unsigned" // only a hash, which anybody can compute
	Wrong    = "wrong"    // the signature is not of this record by this key

	// Trust.
	Trusted   = "trusted"
	Unknown   = "unknown"   // the key is not in the list
	Outside   = "outside"   // the day it was sealed is outside the dates of the key
	Withdrawn = "withdrawn" // somebody else may have used the key
	Nobody    = "nobody"    // there is no good signature to trust
	NotAsked  = "not-asked" // no list of trusted keys was given
)

// Place is where a record differs from what was sealed.
type Place struct {
	// Path is the part in the record, or "seal" and a path in the seal, or "record".
	Path string `json:"path"`
	// What is changed, missing or added.
	What string `json:"what"`
	// Heading is the heading the part stands under, "" where it has none.
	Heading string `json:"heading,omitempty"`
}

// Verdict is what Verify found. What it says of the record is as the record has
// it, true or not.
type Verdict struct {
	Integrity string  `json:"integrity"`
	Where     []Place `json:"where"`
	Signer    string  `json:"signer"`
	Key       string  `json:"key,omitempty"` // id of the key the signature is by
	Trust     string  `json:"trust"`
	Owner     string  `json:"owner,omitempty"` // of the key, by the list of trusted keys
	Role      string  `json:"role,omitempty"`

	SHA256 string `json:"sha256,omitempty"` // of the record as it is
	Code   string `json:"code,omitempty"`   // of the record as it is; compare with the patient's copy
	Record About  `json:"record"`

	Faults fault.List `json:"faults"`
}

// About is what the record says of itself.
type About struct {
	Kind     string   `json:"kind"`
	ID       string   `json:"id"`
	Revision int      `json:"revision"`
	Issued   string   `json:"issued"`
	Sealed   string   `json:"sealed,omitempty"`
	Practice string   `json:"practice"`
	Demo     bool     `json:"demo"`
	Evidence string   `json:"evidence"`
	Program  string   `json:"program"`
	Previous string   `json:"previous"`
	Decision string   `json:"decision"`
	Wordings []Review `json:"wordings"`
	Limits   []string `json:"limits"`
}

// Review is how far a wording was checked when it was shown.
type Review struct {
	Locale string `json:"locale"`
	Digest string `json:"digest"`
	State  string `json:"state"`
	Signed bool   `json:"signed_off"`
}

// Good reports whether nothing speaks against the record: intact, no wrong
// signature, and signed by a trusted key where trust was asked for.
func (v Verdict) Good() bool {
	return v.Integrity == Intact && v.Signer != Wrong && (v.Trust == NotAsked || v.Trust == Trusted)
}

// IntegrityWord is the id of the sentence that tells a person the integrity. A hash that
// fits proves nothing where the signature is not of the record, so none is then called
// as it was sealed.
func (v Verdict) IntegrityWord() string {
	if v.Integrity == Intact && v.Signer == Wrong {
		return "record.integrity.unproven"
	}
	return "record.integrity." + v.Integrity
}

// Verify checks a record. trust is nil when no list of trusted keys is given.
//
// Codes of Faults, beside those of strict: RECORD-FORMAT no record of a version
// this program knows; RECORD-WIDE an object with more than 500
// keys, or more than 5,000 parts.
func Verify(data []byte, trust *Trust) Verdict {
	v := Verdict{Integrity: Unreadable, Signer: Unsigned, Trust: Nobody, Where: []Place{}, Faults: fault.List{},
		Record: About{Wordings: []Review{}, Limits: []string{}}}
	if trust == nil {
		v.Trust = NotAsked
	}
	var e envelope
	faults, ok := strict.Decode(data, &e)
	extra := []Place{}
	for _, f := range faults {
		// A key that the seal does not know was added to it; anything else is no
		// JSON to rely on.
		if f.Code != "JSON-UNKNOWN-KEY" {
			v.Faults.Append(f)
		}
		extra = append(extra, Place{Path: f.Path, What: "added"})
	}
	rec, isObject := e.Record.(map[string]any)
	switch at := wide("record", e.Record); {
	case len(v.Faults) > 0 || !ok:
		return v
	case !isObject || e.Seal.SHA256 == "":
		v.Faults.Add("RECORD-FORMAT", "", "not a sealed record: it needs the members record and seal")
		return v
	case at != "":
		v.Faults.Add("RECORD-WIDE", "", "an object with more than %d keys", maxKeys)
		return v
	case rec["format"] != Format:
		v.Faults.Add("RECORD-FORMAT", "record.format", "not a record of this program")
		return v
	case !known(rec["version"]):
		v.Faults.Add("RECORD-FORMAT", "record.version", "this program verifies records of version 1 to %d: use a newer one", Version)
		return v
	}
	if len(pieces(rec)) > maxParts || len(e.Seal.Parts) > maxParts {
		v.Faults.Add("RECORD-WIDE", "", "more than %d parts", maxParts)
		return v
	}
	whole, err := canonical(rec)
	if err != nil {
		v.Faults.Add("RECORD-FORMAT", "record", "%v", err)
		return v
	}
	v.SHA256 = hash(whole)
	v.Code = Code(v.SHA256)
	v.Record = about(rec)
	v.signer(e.Seal.Signature, whole)
	v.Where = append(v.compare(rec, e.Seal), extra...)
	v.Integrity = Intact
	if len(v.Where) > 0 {
		v.Integrity = Changed
	}
	v.trust(trust)
	return v
}

// known reports whether a record's version is one this program verifies.
func known(version any) bool {
	n, ok := version.(float64)
	return ok && n >= 1 && n <= Version && n == math.Trunc(n)
}

// strictly takes one way to write the bytes only, so that no letter of a seal can
// be changed unnoticed.
var strictly = base64.StdEncoding.Strict()

// signer checks the signature of the whole.
func (v *Verdict) signer(s *KeySignature, whole []byte) {
	if s == nil {
		return
	}
	v.Signer = Wrong
	public, value, ok := s.bytes()
	if ok && same(KeyID(public), s.Key) {
		v.Key = s.Key
		if ed25519.Verify(public, whole, value) {
			v.Signer = Signed
		}
	}
}

func (s KeySignature) bytes() (public ed25519.PublicKey, value []byte, ok bool) {
	public, err1 := strictly.DecodeString(s.Public)
	value, err2 := strictly.DecodeString(s.Value)
	return public, value, s.Algorithm == keyAlgorithm && err1 == nil && err2 == nil && len(public) == ed25519.PublicKeySize
}

// compare says where the record differs from its seal.
func (v *Verdict) compare(rec map[string]any, m Mark) []Place {
	places := []Place{}
	sealed := map[string]Part{}
	for i, p := range m.Parts {
		if _, twice := sealed[p.Path]; twice {
			places = append(places, Place{Path: fmt.Sprintf("seal.parts[%d]", i), What: "added"})
		}
		sealed[p.Path] = p
	}
	c := comparePieces(pieces(rec), sealed, v.bearer(m))
	for _, p := range m.Parts {
		if !c.seen[p.Path] {
			c.different = append(c.different, Place{Path: p.Path, What: "missing"})
		}
	}
	places = append(places, c.different...)
	changed := len(c.different) > 0
	if v.Signer == Wrong && len(c.borne) > 0 {
		// Hashes were computed anew; the signatures of the parts show which.
		places = append(places, c.unborne...)
		changed = changed || len(c.unborne) > 0
	} else if v.Signer == Signed {
		// The record is as it was signed; only the seal's table is not.
		for _, p := range c.unborne {
			places = append(places, Place{Path: "seal.parts " + p.Path, What: "changed"})
		}
	}
	if !same(m.SHA256, v.SHA256) && !changed {
		// Every part is as sealed, so the hash of the whole is not.
		places = append(places, Place{Path: "seal.sha256", What: "changed"})
	} else if !same(m.Code, Code(m.SHA256)) {
		places = append(places, Place{Path: "seal.code", What: "changed"})
	}
	if v.Signer == Signed && changed {
		// The whole bears the signature, so it is the table of parts that differs.
		for i := range places {
			if p := &places[i]; c.seen[p.Path] || sealed[p.Path].Path != "" {
				p.Path = "seal.parts " + p.Path
			}
		}
	}
	return places
}

// comparison is what the pieces of a record show beside the parts that were sealed.
type comparison struct {
	different      []Place         // not as their hashes have them
	borne, unborne []Place         // as their hashes have them, with and without the key's signature
	seen           map[string]bool // the paths of all pieces
}

// comparePieces compares each piece with its sealed part. Without a key, bears is nil,
// and no piece is borne or unborne.
func comparePieces(all []piece, sealed map[string]Part, bears func(Part) bool) comparison {
	c := comparison{seen: map[string]bool{}}
	for _, p := range all {
		place := Place{Path: p.path, What: "changed", Heading: heading(p.value)}
		c.seen[p.path] = true
		was, ok := sealed[p.path]
		part, err := canonical(p.value)
		if !ok {
			place.What = "added"
		}
		switch {
		case !ok || err != nil || !same(was.SHA256, hash(part)):
			c.different = append(c.different, place)
		case bears == nil:
		case bears(was):
			c.borne = append(c.borne, place)
		default:
			c.unborne = append(c.unborne, place)
		}
	}
	return c
}

// bearer says which parts bear the key's own signature, nil when it has made none:
// whoever computes all hashes anew cannot make these.
func (v *Verdict) bearer(m Mark) func(Part) bool {
	s := m.Signature
	if s == nil || v.Key == "" {
		return nil
	}
	public, _, _ := s.bytes()
	if public == nil {
		return nil
	}
	return func(p Part) bool {
		raw, err := strictly.DecodeString(p.Signature)
		return err == nil && ed25519.Verify(public, partBytes(p.Path, p.SHA256, s.Value), raw)
	}
}

// heading gives the heading of a section, "" for any other part.
func heading(v any) string {
	m, _ := v.(map[string]any)
	h, _ := m["heading"].(string)
	return h
}

func (v *Verdict) trust(t *Trust) {
	if t == nil || v.Signer != Signed {
		return
	}
	k := t.find(v.Key)
	if k == nil {
		v.Trust = Unknown
		return
	}
	v.Owner, v.Role = k.Owner, k.Role
	// A sheet may be older than the key that seals it.
	day, _, _ := strings.Cut(cmp.Or(v.Record.Sealed, v.Record.Issued), "T")
	sealed, err := casefile.ParseDate(day)
	switch {
	case k.Withdrawn:
		v.Trust = Withdrawn
	case (k.From.Exists() || k.To.Exists()) && err != nil,
		k.From.Exists() && sealed.Before(k.From), k.To.Exists() && k.To.Before(sealed):
		v.Trust = Outside
	default:
		v.Trust = Trusted
	}
}

// about reads what the record says of itself; what has another form is left out.
func about(rec map[string]any) About {
	text := func(m map[string]any, k string) string { s, _ := m[k].(string); return s }
	member := func(m map[string]any, k string) map[string]any { x, _ := m[k].(map[string]any); return x }
	revision, _ := rec["revision"].(float64)
	demo, _ := member(rec, "practice")["demo"].(bool)
	a := About{Kind: text(rec, "kind"), ID: text(rec, "id"), Revision: int(revision), Issued: text(rec, "issued"), Sealed: text(rec, "sealed"),
		Practice: text(member(rec, "practice"), "name"), Demo: demo, Evidence: text(rec, "evidence"), Program: text(rec, "program"),
		Previous: text(rec, "previous"), Decision: text(member(rec, "decision"), "what"), Wordings: []Review{}, Limits: []string{}}
	languages, _ := rec["languages"].([]any)
	for _, x := range languages {
		l, _ := x.(map[string]any)
		w := member(l, "wording")
		a.Wordings = append(a.Wordings, Review{text(l, "locale"), text(w, "digest"), text(w, "state"), text(w, "signed_by") != ""})
	}
	limits, _ := rec["limits"].([]any)
	for _, x := range limits {
		if s, ok := x.(string); ok {
			a.Limits = append(a.Limits, s)
		}
	}
	return a
}
