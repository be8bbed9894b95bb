package record

import (
	"crypto/aes"
	"crypto/cipher"
	"crypto/ed25519"
	"encoding/base64"
	"encoding/json"
	"errors"
	"io"
	"runtime"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/strict"
)

// Formats of the files of keys.
const (
	privateFormat = "plainleaf-private-key"
	publicFormat  = "plainleaf-public-key"
	trustFormat   = "plainleaf-trusted-keys"
	keyAlgorithm  = "Ed25519"
	keyVersion    = 1
)

// MinPassphrase is the fewest letters a passphrase may have.
const MinPassphrase = 12

// Key is a private signing key.
type Key struct{ private ed25519.PrivateKey }

// NewKey makes a key from 32 bytes of random.
func NewKey(random io.Reader) (Key, error) {
	seed := make([]byte, ed25519.SeedSize)
	if _, err := io.ReadFull(random, seed); err != nil {
		return Key{}, err
	}
	return Key{ed25519.NewKeyFromSeed(seed)}, nil
}

// Wipe overwrites the key, which signs nothing afterwards.
func (k *Key) Wipe() { clear(k.private) }

// Public is the public half.
func (k Key) Public() ed25519.PublicKey { return k.private.Public().(ed25519.PublicKey) }

// ID is the id of the key.
func (k Key) ID() string { return KeyID(k.Public()) }

// KeyID is the SHA-256 of the 32 bytes of a public key, in hexadecimal.
func KeyID(public ed25519.PublicKey) string { return hash(public) }

func (k Key) sign(data []byte) string {
	return base64.StdEncoding.EncodeToString(ed25519.Sign(k.private, data))
}

// wrapped is the file of a private key.
type wrapped struct {
	Format    string `json:"format"`
	Version   int    `json:"version"`
	Algorithm string `json:"algorithm"`
	ID        string `json:"id"`
	Public    string `json:"public"`
	Derive    derive `json:"derive"`
	Cipher    sealed `json:"cipher"`
}

// derive is how the passphrase becomes the key of the cipher: Argon2id, RFC 9106.
type derive struct {
	Name    string `json:"name"`
	Version int    `json:"version"`
	Time    int    `json:"time"`       // passes
	Memory  int    `json:"memory_kib"` // KiB
	Threads int    `json:"threads"`
	Salt    string `json:"salt"`
}

type sealed struct {
	Name  string `json:"name"`
	Nonce string `json:"nonce"`
	Text  string `json:"text"` // the seed, encrypted, and the tag
}

// The cost of a file may lie within bounds: never below the minimum of the OWASP
// Password Storage Cheat Sheet (2026: 19 MiB, 2 passes), never so much that
// opening it would stop a small machine.
const (
	minTime, minMemory             = 2, 19 << 10
	maxTime, maxMemory, maxThreads = 10, 256 << 10, 8
)

// newCost is the cost of a new file made on a system: the second recommended choice of
// RFC 9106, section 4. In a browser (js), where all runs on one thread and memory once
// taken is never given back, it is the minimum.
func newCost(goos string) (time, memory, threads int) {
	if goos == "js" {
		return minTime, minMemory, 1
	}
	return 3, 64 << 10, 4
}

func (d derive) key(passphrase string) ([]byte, error) {
	salt, err := base64.StdEncoding.DecodeString(d.Salt)
	if err != nil || len(salt) < 16 || len(salt) > 64 || d.Name != "argon2id" || d.Version != argon2.Version ||
		d.Time < minTime || d.Time > maxTime || d.Memory < minMemory || d.Memory > maxMemory || d.Threads < 1 || d.Threads > maxThreads {
		return nil, errors.New("derive")
	}
	return argon2.IDKey([]byte(passphrase), salt, uint32(d.Time), uint32(d.Memory), uint8(d.Threads), 32), nil
}

// aead gives the cipher, and what it covers beside the seed: the rest of the file.
func (w wrapped) aead(passphrase string) (cipher.AEAD, []byte, error) {
	k, err := w.Derive.key(passphrase)
	if err != nil {
		return nil, nil, err
	}
	w.Cipher.Text = ""
	rest, err := canonical(w)
	if err != nil {
		return nil, nil, err
	}
	block, err := aes.NewCipher(k)
	if err != nil {
		return nil, nil, err
	}
	a, err := cipher.NewGCM(block)
	return a, rest, err
}

// Wrap writes the key as a file under a passphrase. Salt and nonce come from
// random. Code: KEY-PASSPHRASE it is too short.
func (k Key) Wrap(passphrase string, random io.Reader) ([]byte, fault.List) {
	if utf8.RuneCountInString(passphrase) < MinPassphrase {
		return nil, fault.List{fault.New("KEY-PASSPHRASE", "", "a passphrase has at least %d letters", MinPassphrase)}
	}
	salt := make([]byte, 16+12)
	if _, err := io.ReadFull(random, salt); err != nil {
		return nil, fault.List{fault.New("KEY-RANDOM", "", "%v", err)}
	}
	enc := base64.StdEncoding.EncodeToString
	time, memory, threads := newCost(runtime.GOOS)
	w := wrapped{Format: privateFormat, Version: keyVersion, Algorithm: keyAlgorithm, ID: k.ID(), Public: enc(k.Public()),
		Derive: derive{"argon2id", argon2.Version, time, memory, threads, enc(salt[:16])},
		Cipher: sealed{Name: "AES-256-GCM", Nonce: enc(salt[16:])}}
	a, rest, err := w.aead(passphrase)
	if err != nil {
		return nil, fault.List{fault.New("KEY-FORMAT", "", "%v", err)}
	}
	w.Cipher.Text = enc(a.Seal(nil, salt[16:], k.private.Seed(), rest))
	return indented(w), nil
}

// OpenKey reads a private key file.
//
// Codes beside those of strict: KEY-FORMAT not such a file or of another
// version; KEY-COST a cost outside the bounds; KEY-PASSPHRASE the passphrase does
// not open it, or the file was changed.
func OpenKey(data []byte, passphrase string) (Key, fault.List) {
	var w wrapped
	faults, _ := strict.Decode(data, &w)
	if len(faults) > 0 {
		return Key{}, faults
	}
	fail := func(code, path, text string) (Key, fault.List) {
		return Key{}, fault.List{fault.New(code, path, "%s", text)}
	}
	if w.Format != privateFormat || w.Version != keyVersion || w.Algorithm != keyAlgorithm || w.Cipher.Name != "AES-256-GCM" {
		return fail("KEY-FORMAT", "format", "not a private key file of this version")
	}
	nonce, err1 := base64.StdEncoding.DecodeString(w.Cipher.Nonce)
	text, err2 := base64.StdEncoding.DecodeString(w.Cipher.Text)
	if err1 != nil || err2 != nil || len(nonce) != 12 {
		return fail("KEY-FORMAT", "cipher", "not base64 of the right length")
	}
	a, rest, err := w.aead(passphrase)
	if err != nil {
		return fail("KEY-COST", "derive", "the way from passphrase to key is not known or outside its bounds")
	}
	seed, err := a.Open(nil, nonce, text, rest)
	if err != nil || len(seed) != ed25519.SeedSize {
		return fail("KEY-PASSPHRASE", "", "the passphrase does not open this key, or the file was changed")
	}
	k := Key{ed25519.NewKeyFromSeed(seed)}
	clear(seed)
	if k.ID() != w.ID {
		return fail("KEY-FORMAT", "id", "the id is not that of the key")
	}
	return k, nil
}

// HalfOf gives the public half a private key file names. Only OpenKey proves that
// it is the half of the key inside. Codes as OpenKey.
func HalfOf(data []byte) (PublicKey, fault.List) {
	var w wrapped
	faults, _ := strict.Decode(data, &w)
	if len(faults) > 0 {
		return PublicKey{}, faults
	}
	raw, err := base64.StdEncoding.DecodeString(w.Public)
	if w.Format != privateFormat || w.Version != keyVersion || err != nil || len(raw) != ed25519.PublicKeySize || KeyID(raw) != w.ID {
		faults.Add("KEY-FORMAT", "format", "not a private key file of this version")
		return PublicKey{}, faults
	}
	return PublicKey{ID: w.ID, Public: w.Public}, nil
}

// IsPrivate reports whether a file says that it is a private key.
func IsPrivate(data []byte) bool {
	var kind struct{ Format string }
	return len(data) <= strict.MaxBytes && json.Unmarshal(data, &kind) == nil && kind.Format == privateFormat
}

// File writes the public key as a file of its own.
func (p PublicKey) File() []byte {
	return indented(publicFile{publicFormat, keyVersion, keyAlgorithm, p})
}

// PublicKey is a key that seals are checked with.
type PublicKey struct {
	ID     string `json:"id"`
	Public string `json:"public"` // 32 bytes, base64
	Owner  string `json:"owner,omitempty"`
	Role   string `json:"role,omitempty"`
	// From and To bound the issue dates of the records it is trusted for, both included.
	From casefile.Date `json:"from,omitzero"`
	To   casefile.Date `json:"to,omitzero"`
	// Withdrawn says that somebody else may have used the key.
	Withdrawn bool `json:"withdrawn,omitempty"`
}

type publicFile struct {
	Format    string `json:"format"`
	Version   int    `json:"version"`
	Algorithm string `json:"algorithm"`
	PublicKey
}

// Trust is a list of trusted keys.
type Trust struct {
	Format  string      `json:"format"`
	Version int         `json:"version"`
	Keys    []PublicKey `json:"keys"`
}

// Half is the public half of a key.
func (k Key) Half(owner, role string, from casefile.Date) PublicKey {
	return PublicKey{ID: k.ID(), Public: base64.StdEncoding.EncodeToString(k.Public()), Owner: owner, Role: role, From: from}
}

// PublicFile writes the public half of a key as a file.
func (k Key) PublicFile(owner, role string, from casefile.Date) []byte {
	return k.Half(owner, role, from).File()
}

// TrustFile writes a list of trusted keys as a file.
func TrustFile(keys []PublicKey) []byte { return indented(Trust{trustFormat, keyVersion, keys}) }

// NewTrust is a list of trusted keys.
func NewTrust(keys []PublicKey) Trust { return Trust{trustFormat, keyVersion, keys} }

// ReadTrust reads a list of trusted keys, or one public key file as a list of one.
//
// Codes beside those of strict: KEY-FORMAT neither of the two; KEY-PUBLIC no
// public key; KEY-ID an id that is not the key's; KEY-TWICE a key listed twice;
// KEY-DATES dates out of order.
func ReadTrust(data []byte) (Trust, fault.List) {
	var kind struct {
		Format string `json:"format"`
	}
	_ = json.Unmarshal(data, &kind) // only to choose; the strict reader decides
	var t Trust
	var faults fault.List
	prefix := func(int) string { return "" }
	if kind.Format == publicFormat {
		var p publicFile
		faults, _ = strict.Decode(data, &p)
		if len(faults) == 0 && (p.Version != keyVersion || p.Algorithm != keyAlgorithm) {
			faults.Add("KEY-FORMAT", "version", "not a public key file of this version")
		}
		t = Trust{trustFormat, keyVersion, []PublicKey{p.PublicKey}}
	} else {
		faults, _ = strict.Decode(data, &t)
		if len(faults) == 0 && (t.Format != trustFormat || t.Version != keyVersion) {
			faults.Add("KEY-FORMAT", "format", "neither a public key nor a list of trusted keys of this version")
		}
		prefix = func(i int) string { return "keys[" + itoa(i) + "]." }
	}
	if len(faults) > 0 {
		return Trust{}, faults
	}
	seen := map[string]bool{}
	for i, k := range t.Keys {
		raw, err := base64.StdEncoding.DecodeString(k.Public)
		switch {
		case err != nil || len(raw) != ed25519.PublicKeySize:
			faults.Add("KEY-PUBLIC", prefix(i)+"public", "not 32 bytes in base64")
		case KeyID(raw) != k.ID:
			faults.Add("KEY-ID", prefix(i)+"id", "the id is not the SHA-256 of the key")
		case seen[k.ID]:
			faults.Add("KEY-TWICE", prefix(i)+"id", "this key is listed twice")
		case k.From.Exists() && k.To.Exists() && k.To.Before(k.From):
			faults.Add("KEY-DATES", prefix(i)+"to", "the end is before the start")
		}
		seen[k.ID] = true
	}
	return t, faults
}

// find gives the key with an id, nil if it is not in the list.
func (t Trust) find(id string) *PublicKey {
	for i := range t.Keys {
		if same(t.Keys[i].ID, id) {
			return &t.Keys[i]
		}
	}
	return nil
}

func indented(v any) []byte {
	data, _ := json.MarshalIndent(v, "", "  ") // plain structs: cannot fail
	return append(data, '\n')
}
