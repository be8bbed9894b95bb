package model

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
type Ring struct {
	Version int                `json:"version"`
	Private string             `json:"private,omitempty"` // the file of the key in base64, "" for none
	ID      string             `json:"id,omitempty"`      // of that key
	Keys    []record.PublicKey `json:"keys,omitempty"`
	// Typed are dates that cannot be read, by "from " or "to " and the id of the key.
	Typed map[string]string `json:"typed,omitempty"`
}

// RingText writes the ring for the device to keep.
func (m *Model) RingText() string {
	m.Ring.Version = 1
	data, err := json.Marshal(m.Ring)
	if err != nil {
		return ""
	}
	return string(data)
}

// TakeRing reads what RingText wrote; false when it is none.
func (m *Model) TakeRing(text string) bool {
	var r Ring
	faults, ok := strict.Decode([]byte(text), &r)
	if !ok || len(faults) > 0 || r.Version != 1 {
		return false
	}
	m.Ring = r
	return true
}

// Trust is the list of trusted keys.
func (m *Model) Trust() record.Trust { return record.NewTrust(m.Ring.Keys) }

// Own is this device's own key as the list has it; nil for none.
func (m *Model) OwnKey() *record.PublicKey {
	if m.Ring.ID == "" {
		return nil
	}
	return m.Key(m.Ring.ID)
}

// Key is a key of the list; nil when it is not in it.
func (m *Model) Key(id string) *record.PublicKey {
	for i := range m.Ring.Keys {
		if m.Ring.Keys[i].ID == id {
			return &m.Ring.Keys[i]
		}
	}
	return nil
}

// NewKey puts a new key in place of this device's own. The old one stays in the
// list with today as its last day, so that what it sealed can still be checked.
func (m *Model) NewKey(file []byte, public record.PublicKey, today casefile.Date) {
	if old := m.OwnKey(); old != nil && old.ID != public.ID && !old.To.Exists() {
		old.To = today
	}
	m.Ring.Private, m.Ring.ID = base64.StdEncoding.EncodeToString(file), public.ID
	if m.Key(public.ID) == nil {
		m.Ring.Keys = append(m.Ring.Keys, public)
	}
}

// PrivateFile is the file of this device's own key; nil for none.
func (m *Model) PrivateFile() []byte { return unpacked(m.Ring.Private) }

// unpacked reads base64 that this package wrote; nil for anything else.
func unpacked(text string) []byte {
	data, err := base64.StdEncoding.DecodeString(text)
	if err != nil || len(data) == 0 {
		return nil
	}
	return data
}

// DropPrivate takes the private half off this device. The public half stays.
func (m *Model) DropPrivate() { m.Ring.Private, m.Ring.ID = "", "" }

// AddKeys puts the keys of a file into the list; one that is there already takes
// what the file says of it. It answers how many were new.
func (m *Model) AddKeys(data []byte) (int, fault.List) {
	t, faults := record.ReadTrust(data)
	if len(faults) > 0 {
		return 0, faults
	}
	n := 0
	for _, k := range t.Keys {
		if old := m.Key(k.ID); old != nil {
			*old = k
			continue
		}
		m.Ring.Keys = append(m.Ring.Keys, k)
		n++
	}
	return n, nil
}

// EditKey changes what the list says of a key.
func (m *Model) EditKey(id string, edit func(*record.PublicKey)) {
	if k := m.Key(id); k != nil {
		edit(k)
	}
}

// SetKeyDate sets the first day, field from, or the last, field to, on which a key
// is trusted. Text that is no date stays in its field.
func (m *Model) SetKeyDate(id, field, text string) {
	if m.Ring.Typed == nil {
		m.Ring.Typed = map[string]string{}
	}
	path := field + " " + id
	delete(m.Ring.Typed, path)
	var d casefile.Date
	if text != "" {
		var err error
		if d, err = casefile.ParseDate(text); err != nil {
			m.Ring.Typed[path] = text
			return
		}
	}
	m.EditKey(id, func(k *record.PublicKey) {
		if field == "from" {
			k.From = d
		} else {
			k.To = d
		}
	})
}

// KeyDate is what stands in the field of such a date, with what is wrong with it.
func (m *Model) KeyDate(id, field string) (string, fault.List) {
	k := m.Key(id)
	if k == nil {
		return "", nil
	}
	path := field + " " + id
	if text, ok := m.Ring.Typed[path]; ok {
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
func (m *Model) DropKey(id string) {
	m.Ring.Keys = slices.DeleteFunc(m.Ring.Keys, func(k record.PublicKey) bool { return k.ID == id })
}

// Checked is a record that was opened to be looked at.
type Checked struct {
	Name    string
	Sealed  []byte
	Verdict record.Verdict
	Record  record.Record
	Whole   bool // Record holds what the file does
}

// Check opens a sealed record. Trust is asked for when any key is trusted.
func (m *Model) Check(name string, data []byte) Checked {
	t := m.Trust()
	c := Checked{Name: name, Sealed: bytes.Clone(data), Verdict: record.Verify(data, &t)}
	if c.Verdict.Integrity != record.Unreadable {
		c.Record, c.Whole = record.Read(data)
	}
	return c
}

// FHIR is the record that is being looked at for another system. Where keys are trusted
// and none of them stands behind it, it is not made before told says that this was
// said: ask is true then.
//
// Codes as record.FHIR.
func (m *Model) FHIR(c Checked, told bool) (data []byte, ask bool, faults fault.List) {
	t := m.Trust()
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
