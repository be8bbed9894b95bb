package record

import (
	"crypto/subtle"
	"encoding/hex"
	"strings"
)

// letters are the 32 signs of a seal code, without I, L, O and U, which are
// taken for others.
const letters = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

const (
	codeLetters = 15 // of 5 bits each, from the start of the hash
	codeGroup   = 4
)

// Code gives the seal code of a hash in hexadecimal: 15 letters that hold its
// first 75 bits and a check letter, "XXXX-XXXX-XXXX-XXXX". It is short enough to
// type from paper, and too long for anybody to find a second record with the
// same code by trying. "" for what is no SHA-256.
func Code(sha256 string) string {
	sum, err := hex.DecodeString(sha256)
	if err != nil || len(sum) != 32 {
		return ""
	}
	var digits []byte
	for i := range codeLetters {
		var d byte
		for bit := i * 5; bit < i*5+5; bit++ {
			d = d<<1 | sum[bit/8]>>(7-bit%8)&1
		}
		digits = append(digits, d)
	}
	digits = append(digits, check(digits))
	var b strings.Builder
	for i, d := range digits {
		if i > 0 && i%codeGroup == 0 {
			b.WriteByte('-')
		}
		b.WriteByte(letters[d])
	}
	return b.String()
}

// check is the sum of the digits, each times its own power of the field's
// generator (GF(32), x^5+x^2+1). Since the check letter counts once and all
// weights differ, one wrong letter or any two exchanged ones never add up.
func check(digits []byte) byte {
	var sum, weight byte = 0, 1
	for _, d := range digits {
		weight = times(weight, 2)
		sum ^= times(weight, d)
	}
	return sum
}

func times(a, b byte) byte {
	var p byte
	for ; b > 0; b >>= 1 {
		if b&1 > 0 {
			p ^= a
		}
		if a <<= 1; a&32 > 0 {
			a ^= 37
		}
	}
	return p
}

// ParseCode reads a seal code as somebody typed it: small letters, spaces,
// missing hyphens and O for 0, I or L for 1 are taken. It answers the code as
// Code writes it, and false when a letter is wrong, missing or exchanged.
func ParseCode(typed string) (string, bool) {
	var digits []byte
	for _, r := range strings.ToUpper(typed) {
		switch r {
		case ' ', '-', '\u00a0', '\u2010', '\u2011', '\u2013':
			continue
		case 'O':
			r = '0'
		case 'I', 'L':
			r = '1'
		}
		d := strings.IndexRune(letters, r)
		if d < 0 || len(digits) > codeLetters {
			return "", false
		}
		digits = append(digits, byte(d))
	}
	if len(digits) != codeLetters+1 || check(digits[:codeLetters]) != digits[codeLetters] {
		return "", false
	}
	var b strings.Builder
	for i, d := range digits {
		if i > 0 && i%codeGroup == 0 {
			b.WriteByte('-')
		}
		b.WriteByte(letters[d])
	}
	return b.String(), true
}

// same compares two texts in a time that does not depend on where they differ.
func same(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }
