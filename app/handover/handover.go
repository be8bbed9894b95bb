// Package handover puts what a patient takes home into an address that opens
// the app on the patient's own phone, printed as a QR code: which aftercare
// lines and warning signs apply, and the practice's telephone numbers. It names
// no person, no tooth and no finding. All of it stands behind the "#", which
// browsers never send to a server.
//
// The form, version 1, in base64url (RFC 4648, section 5, without padding):
//
//	1 byte    version of the form
//	text      version of the content, text: language, text: telephone,
//	          text: emergency line, text: national emergency number
//	          (a text is 1 byte for its length, then that many bytes of ASCII)
//	codes     of the aftercare lines, codes: of the warning signs
//	          (1 byte for how many, then 2 bytes each, rising)
//	4 bytes   CRC-32 (IEEE 802.3) of all before, most significant first
//
// A code is the first two bytes of the SHA-256 of its key, so it stays the same
// when content grows or is put in another order. The first byte and the last
// four keep their places in every version. The sum finds damage, not forgery: the
// numbers are to be shown as coming from the paper.
package handover

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"hash/crc32"
	"slices"
	"strings"

	"plainleaf/app/fault"
)

// Version of the form.
const Version = 1

// Limit is the longest fragment that is read, in characters.
const Limit = 700

// prefix opens the fragment.
const prefix = "p="

// Paper is what the code on a paper says.
type Paper struct {
	Content string // version of the clinical content
	Locale  string // language of the paper
	// Telephone, EmergencyLine and EmergencyService are as on the paper.
	Telephone, EmergencyLine, EmergencyService string
	Lines, Warnings                            []string // keys, in the order of Keys
	// Unknown counts codes that these Keys have no key for: content that has been
	// taken out since, or is newer. A reader must be told to look at the paper.
	Unknown int
}

// Keys are all aftercare lines and warning signs of the content, in its order.
type Keys struct{ Lines, Warnings []string }

func code(key string) uint16 {
	sum := sha256.Sum256([]byte(key))
	return binary.BigEndian.Uint16(sum[:])
}

// Encode gives the fragment of an address, without "#". Unknown is not written.
//
// Codes: CODE-KEY a key that is not among known, stands twice or shares its code
// with another; CODE-TEXT a text that cannot be written.
func Encode(p Paper, known Keys) (string, fault.List) {
	var faults fault.List
	b := []byte{Version}
	for _, t := range p.texts() {
		if !t.good(*t.text) {
			faults.Add("CODE-TEXT", t.path, "%q cannot stand in a code", *t.text)
		}
		b = append(b, byte(len(*t.text)))
		b = append(b, *t.text...)
	}
	for _, l := range []struct {
		path        string
		keys, known []string
	}{{"lines", p.Lines, known.Lines}, {"warnings", p.Warnings, known.Warnings}} {
		codes := make([]uint16, 0, len(l.keys))
		owner := map[uint16]string{}
		for _, k := range l.known {
			if other, taken := owner[code(k)]; taken {
				faults.Add("CODE-KEY", l.path, "%q and %q have one code; rename the newer one", other, k)
			}
			owner[code(k)] = k
		}
		for _, k := range l.keys {
			if owner[code(k)] != k || slices.Contains(codes, code(k)) {
				faults.Add("CODE-KEY", l.path, "%q is not known or stands twice", k)
			}
			codes = append(codes, code(k))
		}
		if len(codes) > 255 {
			faults.Add("CODE-KEY", l.path, "%d keys; at most 255 can be written", len(codes))
		}
		slices.Sort(codes)
		b = append(b, byte(len(codes)))
		for _, c := range codes {
			b = binary.BigEndian.AppendUint16(b, c)
		}
	}
	if len(faults) > 0 {
		return "", faults
	}
	b = binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b))
	return prefix + base64.RawURLEncoding.EncodeToString(b), nil
}

// Fragment finds the code in what somebody copied or typed: a whole address, or
// what stands behind its "#". Spaces and line breaks do not count, since a long
// code is broken over lines on paper.
func Fragment(typed string) string {
	typed = strings.Join(strings.Fields(typed), "")
	if _, behind, found := strings.Cut(typed, "#"); found {
		return behind
	}
	return typed
}

// Decode reads a fragment, with or without its "#".
//
// Codes: CODE-LONG more than Limit characters; CODE-FOREIGN nothing this program
// wrote; CODE-DAMAGED changed on its way; CODE-NEWER a later version of the form.
func Decode(fragment string, known Keys) (Paper, fault.List) {
	refuse := func(code, text string) (Paper, fault.List) {
		var faults fault.List
		faults.Add(code, "", "%s", text)
		return Paper{}, faults
	}
	if len(fragment) > Limit {
		return refuse("CODE-LONG", "the code is longer than any that is written here")
	}
	s, ours := strings.CutPrefix(strings.TrimPrefix(fragment, "#"), prefix)
	// The package skips line breaks, which no address holds.
	if !ours || strings.ContainsAny(s, "\r\n") {
		return refuse("CODE-FOREIGN", "this is not a code of this program")
	}
	b, err := base64.RawURLEncoding.Strict().DecodeString(s)
	if err != nil {
		return refuse("CODE-FOREIGN", "this is not a code of this program")
	}
	end := len(b) - 4
	if end < 1 || binary.BigEndian.Uint32(b[end:]) != crc32.ChecksumIEEE(b[:end]) {
		return refuse("CODE-DAMAGED", "the code was not read whole, or was changed")
	}
	if b[0] > Version {
		return refuse("CODE-NEWER", "the code was written by a newer version of this program")
	}
	r := reader{b: b[1:end], good: b[0] == Version}
	var p Paper
	for _, t := range p.texts() {
		*t.text = string(r.take(int(r.byte())))
		r.good = r.good && t.good(*t.text)
	}
	p.Lines = r.keys(known.Lines, &p.Unknown)
	p.Warnings = r.keys(known.Warnings, &p.Unknown)
	if !r.good || len(r.b) > 0 {
		return refuse("CODE-DAMAGED", "the code is not built as its version asks")
	}
	return p, nil
}

// Folder is where the hosted app shows a paper, below the folder of a language.
const Folder = "paper"

// Address is where the code leads: the practice's hosted app, in a language that its
// screens have. There is none without a base address.
func Address(base, screen string, p Paper, known Keys) (string, fault.List) {
	if base == "" {
		return "", nil
	}
	fragment, faults := Encode(p, known)
	if len(faults) > 0 {
		return "", faults
	}
	if !strings.HasSuffix(base, "/") {
		base += "/"
	}
	return base + screen + "/" + Folder + "/#" + fragment, nil
}

type field struct {
	path  string
	text  *string
	chars string
	max   int
	blank bool
}

func (f field) good(s string) bool {
	return len(s) <= f.max && (s != "" || f.blank) && strings.Trim(s, f.chars) == "" && len(strings.TrimSpace(s)) == len(s)
}

const (
	digits = "0123456789"
	small  = "abcdefghijklmnopqrstuvwxyz"
	large  = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
)

// texts are the fields in the order in which they are written.
func (p *Paper) texts() []field {
	const phone = digits + " +-().,/#*x" // what a practice file may hold
	return []field{
		{"content", &p.Content, digits + small + large + ".-", 32, false},
		{"locale", &p.Locale, digits + small + large + "-", 35, false},
		{"telephone", &p.Telephone, phone, 50, false},
		{"emergency_line", &p.EmergencyLine, phone, 50, false},
		{"emergency_service", &p.EmergencyService, phone, 50, true},
	}
}

// reader takes bytes from the front; good turns false when there are too few.
type reader struct {
	b    []byte
	good bool
}

func (r *reader) take(n int) []byte {
	if n > len(r.b) {
		r.b, r.good = nil, false
		return nil
	}
	out := r.b[:n]
	r.b = r.b[n:]
	return out
}

func (r *reader) byte() byte {
	if b := r.take(1); len(b) == 1 {
		return b[0]
	}
	return 0
}

func (r *reader) keys(known []string, unknown *int) []string {
	b := r.take(2 * int(r.byte()))
	codes := map[uint16]bool{}
	last := -1
	for ; len(b) >= 2; b = b[2:] {
		c := binary.BigEndian.Uint16(b)
		r.good = r.good && int(c) > last
		last = int(c)
		codes[c] = true
	}
	var out []string
	for _, k := range known {
		if codes[code(k)] {
			out = append(out, k)
			delete(codes, code(k))
		}
	}
	*unknown += len(codes)
	return out
}
