package state

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/record"
	"plainleaf/app/strict"
)

// Ring is what this device has of keys: its own to seal with, wrapped under a
// passphrase, and those it trusts. It is no part of a case or a practice file.
type Ring struct{ kept ringFile }

// ID is the id of this device's own key; "" for none.
func (r *Ring) ID() string { return r.kept.ID }

// Keys lists the trusted keys.
func (r *Ring) Keys() []record.PublicKey { return r.kept.Keys }

// Text writes the ring for the device to keep.
func (r *Ring) Text() string {
	r.kept.Version = 1
	data, err := json.Marshal(r.kept)
	if err != nil {
		return ""
	}
	return string(data)
}

// Take reads what Text wrote; false when it is none.
func (r *Ring) Take(text string) bool {
	var kept ringFile
	faults, ok := strict.Decode([]byte(text), &kept)
	if !ok || len(faults) > 0 || kept.Version != 1 {
		return false
	}
	r.kept = kept
	return true
}

// Trust is the list of trusted keys.
func (r *Ring) Trust() record.Trust { return record.NewTrust(r.kept.Keys) }

// OwnKey is this device's own key as the list has it; nil for none.
func (r *Ring) OwnKey() *record.PublicKey {
	if r.kept.ID == "" {
		return nil
	}
	return r.Key(r.kept.ID)
}

// Key is a key of the list; nil when it is not in it.
func (r *Ring) Key(id string) *record.PublicKey {
	for i := range r.kept.Keys {
		if r.kept.Keys[i].ID == id {
			return &r.kept.Keys[i]
		}
	}
	return nil
}

// NewKey puts a new key in place of this device's own. The old one stays in the
// list with today as its last day, so that what it sealed can still be checked.
func (r *Ring) NewKey(file []byte, public record.PublicKey, today casefile.Date) {
	if old := r.OwnKey(); old != nil && old.ID != public.ID && !old.To.Exists() {
		old.To = today
	}
	r.kept.Private, r.kept.ID = base64.StdEncoding.EncodeToString(file), public.ID
	if r.Key(public.ID) == nil {
		r.kept.Keys = append(r.kept.Keys, public)
	}
}

// PrivateFile is the file of this device's own key; nil for none.
func (r *Ring) PrivateFile() []byte { return unpacked(r.kept.Private) }

// DropPrivate takes the private half off this device. The public half stays.
func (r *Ring) DropPrivate() { r.kept.Private, r.kept.ID = "", "" }

// AddKeys puts the keys of a file into the list; one that is there already takes
// what the file says of it. It answers how many were new.
func (r *Ring) AddKeys(data []byte) (int, fault.List) {
	t, faults := record.ReadTrust(data)
	if len(faults) > 0 {
		return 0, faults
	}
	n := 0
	for _, k := range t.Keys {
		if old := r.Key(k.ID); old != nil {
			*old = k
			continue
		}
		r.kept.Keys = append(r.kept.Keys, k)
		n++
	}
	return n, nil
}

// EditKey changes what the list says of a key.
func (r *Ring) EditKey(id string, edit func(*record.PublicKey)) {
	if k := r.Key(id); k != nil {
		edit(k)
	}
}

// SetKeyDate sets the first day, field from, or the last, field to, on which a key
// is trusted. Text that is no date stays in its field.
func (r *Ring) SetKeyDate(id, field, text string) {
	if r.kept.Typed == nil {
		r.kept.Typed = texts{}
	}
	d, ok := r.kept.Typed.date(field+" "+id, text)
	if !ok {
		return
	}
	r.EditKey(id, func(k *record.PublicKey) {
		if field == "from" {
			k.From = d
		} else {
			k.To = d
		}
	})
}

// KeyDate returns what the field of such a date shows, with its faults.
func (r *Ring) KeyDate(id, field string) (string, fault.List) {
	k := r.Key(id)
	if k == nil {
		return "", nil
	}
	path := field + " " + id
	if text, ok := r.kept.Typed[path]; ok {
		return text, fault.List{typedFault(path, text)}
	}
	d := k.From
	if field == "to" {
		d = k.To
		if k.From.Exists() && d.Exists() && d.Before(k.From) {
			return d.String(), fault.List{fault.New("KEY-DATES", path, "the end is before the start")}
		}
	}
	if !d.Exists() {
		return "", nil
	}
	return d.String(), nil
}

// DropKey takes a key out of the list.
func (r *Ring) DropKey(id string) {
	r.kept.Keys = slices.DeleteFunc(r.kept.Keys, func(k record.PublicKey) bool { return k.ID == id })
}

// Check opens a sealed record. Trust is asked for when any key is trusted.
func (r *Ring) Check(name string, data []byte) Checked {
	t := r.Trust()
	c := Checked{Name: name, Sealed: bytes.Clone(data), Verdict: record.Verify(data, &t)}
	if c.Verdict.Integrity != record.Unreadable {
		c.Record, c.Whole = record.Read(data)
	}
	return c
}

// FHIR returns an opened record for another system. Where keys are trusted and none of
// them signed it, it is made only once told is true: the screen has said so. Until then
// ask is true.
//
// Codes as record.FHIR.
func (r *Ring) FHIR(c Checked, told bool) (data []byte, ask bool, faults fault.List) {
	t := r.Trust()
	if len(t.Keys) > 0 && c.Verdict.Trust == record.Trusted {
		data, faults = record.FHIR(c.Sealed, &t)
		return data, false, faults
	}
	data, faults = record.FHIR(c.Sealed, nil)
	if len(t.Keys) > 0 && !told && len(faults) == 0 {
		return nil, true, nil
	}
	return data, false, faults
}

// ringFile is how a ring is kept.
type ringFile struct {
	Version int                `json:"version"`
	Private string             `json:"private,omitempty"` // the file of the key in base64, "" for none
	ID      string             `json:"id,omitempty"`      // of that key
	Keys    []record.PublicKey `json:"keys,omitempty"`
	// Typed are dates that cannot be read, by "from " or "to " and the id of the key.
	Typed texts `json:"typed,omitempty"`
}

// unpacked reads base64 that this package wrote; nil for anything else.
func unpacked(text string) []byte {
	data, err := base64.StdEncoding.DecodeString(text)
	if err != nil || len(data) == 0 {
		return nil
	}
	return data
}

// Checked is a record that was opened to be looked at.
type Checked struct {
	Name    string
	Sealed  []byte
	Verdict record.Verdict
	Record  record.Record
	Whole   bool // Record holds what the file does
}
