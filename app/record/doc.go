// Package record seals what was shown and agreed, and checks a seal.
//
// # What a record is
//
// A file of JSON with two members. "record" holds what was shown, in every
// language that stood on the sheet, sentence by sentence under its headings; the
// case; the answers given beforehand; who decided; the signatures; and which
// wording, evidence and program made the sheet. "seal" holds what proves it.
// Times are those of the device, in local time with their distance from UTC. A
// signature belongs to exactly the text and the decision it was given for; whoever
// seals sees to that, since a record holds one text only.
// A record holds the whole case, private findings included: it belongs with the
// patient's notes and is not handed out as it is.
//
// # The method, for anyone with standard tools
//
//  1. Take the value of "record" and write it as canonical JSON (RFC 8785).
//     Its bytes are what is signed. A file as this package writes it is canonical
//     already, but any JSON writer may have touched it since.
//  2. SHA-256 of these bytes, in hexadecimal, is "seal"."sha256".
//  3. "seal"."signature"."value" is the Ed25519 signature (RFC 8032, pure) of the
//     same bytes, in base64, by the key "seal"."signature"."public" (32 bytes,
//     base64). The key's id is the SHA-256 of these 32 bytes in hexadecimal.
//     Compare the id with one that came another way than with the record.
//  4. "seal"."parts" lists the parts of the record by path: each member of the
//     record, "case" and every language split by member, "sections" piece by
//     piece. "sha256" is taken over the canonical JSON of the part's value,
//     "signature" is the Ed25519 signature of the canonical JSON of
//     {"path": path, "sha256": hash of the part, "signature": value of the
//     signature of the whole}. Parts tell where a change lies, the signature of
//     the whole tells that there is none.
//  5. "seal"."code" stands on the patient's copy: the first 75 bits of the
//     SHA-256, five at a time, in the alphabet of [Code], and a check letter.
//
// The keys of a record are ASCII and its numbers are whole, so that
// "jq -cjS .record FILE" writes the same canonical bytes as an RFC 8785 library,
// and so does Python's json.dumps(..., sort_keys=True, separators=(",", ":"),
// ensure_ascii=False). What they wrote is what was checked: many programs pass over
// a second member of one name in the file, which [Verify] refuses.
// With openssl, the canonical bytes in the file r, the signature in s and the
// public key in k.pem:
//
//	openssl dgst -sha256 r
//	openssl pkeyutl -verify -pubin -inkey k.pem -rawin -in r -sigfile s
//
// # What a seal does not prove
//
// A hash alone proves nothing against somebody who changes the record and
// computes it anew; the signature of a key that the reader trusts, or the code
// on the patient's copy, does. A key the practice keeps itself proves no date,
// and a drawn or typed name does not prove who drew or typed it. Every record
// says so itself.
//
// # Keys
//
// Make: a new key is 32 random bytes, written only wrapped: Argon2id (RFC 9106)
// of a passphrase gives the key of AES-256-GCM, which covers every other field
// of the file too. The command and the screens write the same file; the screens
// keep it on the device, ask for the passphrase at every seal and overwrite the
// key after it. Keep: the file and its passphrase in two places; the public
// key with everybody who will have to check, above all outside the practice.
// Lose: records sealed before stay good, since checking takes only the public
// key; a new key is made and its public key added to the list of trusted keys.
// Replace: give the old key an end date in that list; a key that somebody else
// may have used is marked as withdrawn, and nothing it signed is trusted,
// whatever its date, since its holder can choose the date.
package record
