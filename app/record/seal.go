package record

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"slices"

	"plainleaf/app/fault"
	"plainleaf/app/strict"
)

// Mark is the seal of a record.
type Mark struct {
	SHA256    string        `json:"sha256"` // of the canonical record
	Code      string        `json:"code"`
	Parts     []Part        `json:"parts"`
	Signature *KeySignature `json:"signature,omitempty"`
}

// Part is the hash of one part of the record, and the key's signature of it.
type Part struct {
	Path      string `json:"path"`
	SHA256    string `json:"sha256"`
	Signature string `json:"signature,omitempty"`
}

// KeySignature is the key's signature of the canonical record.
type KeySignature struct {
	Algorithm string `json:"algorithm"`
	Key       string `json:"key"`    // id
	Public    string `json:"public"` // base64
	Value     string `json:"value"`  // base64
}

// envelope is the file. Record is left as it is: the seal covers whatever is in it.
type envelope struct {
	Record any  `json:"record"`
	Seal   Mark `json:"seal"`
}

// partBytes is what the signature of a part is taken over. The signature of the
// whole in it ties the part to this one record.
func partBytes(path, sum, value string) []byte {
	data, _ := canonical(map[string]any{"path": path, "sha256": sum, "signature": value}) // texts only: cannot fail
	return data
}

// Seal writes the file of a record: canonical JSON and a newline. With a nil key
// it has hashes and no signature. The same record and key give the same bytes.
//
// Codes: RECORD-SIZE larger than 1 MiB; RECORD-TEXT a text is not UTF-8 or the
// record cannot be written; others of strict when the record could not be read back.
func Seal(r Record, key *Key) ([]byte, Mark, fault.List) {
	plain, err := json.Marshal(r)
	if err != nil {
		return nil, Mark{}, fault.List{fault.New("RECORD-TEXT", "", "%v", err)}
	}
	var tree any
	if faults, _ := strict.Decode(plain, &tree); len(faults) > 0 {
		return nil, Mark{}, faults
	}
	data, m, err := seal(tree, key)
	if err != nil {
		return nil, Mark{}, fault.List{fault.New("RECORD-TEXT", "", "%v", err)}
	}
	if len(data) > strict.MaxBytes {
		return nil, Mark{}, fault.List{fault.New("RECORD-SIZE", "", "the record is larger than 1 MiB: %d bytes", len(data))}
	}
	return data, m, nil
}

func seal(tree any, key *Key) ([]byte, Mark, error) {
	rec, ok := tree.(map[string]any)
	if !ok {
		return nil, Mark{}, fmt.Errorf("the record is no object")
	}
	whole, err := canonical(rec)
	if err != nil {
		return nil, Mark{}, err
	}
	m := Mark{SHA256: hash(whole)}
	m.Code = Code(m.SHA256)
	if key != nil {
		m.Signature = &KeySignature{keyAlgorithm, key.ID(), base64.StdEncoding.EncodeToString(key.Public()), key.sign(whole)}
	}
	for _, p := range pieces(rec) {
		part, err := canonical(p.value)
		if err != nil {
			return nil, Mark{}, err
		}
		sum := Part{Path: p.path, SHA256: hash(part)}
		if key != nil {
			sum.Signature = key.sign(partBytes(sum.Path, sum.SHA256, m.Signature.Value))
		}
		m.Parts = append(m.Parts, sum)
	}
	mark, err := canonical(m)
	return slices.Concat([]byte(`{"record":`), whole, []byte(`,"seal":`), mark, []byte("}\n")), m, err
}
