// Package i18n holds the words of the product: one wording per language, a
// strict localizer over it, and formatters for dates, numbers, money and lists.
//
// Nothing is chosen silently: a language is one of an exact list, a message is
// in the wording asked for or an error, and no other language ever stands in.
//
// A wording is hostile until checked, because a message is a template to the
// library below: only {{.Name}} with a name from placeholders.json passes.
//
// A language has a tier, a word in its row of languages.json: Languages are those that
// sheets are made in, ScreenLanguages those of the screens, All the parked ones too. A
// parked language is not shipped, printed in or checked, and Load refuses it; files
// that name it still open, and translators can still work on it.
//
// To add a language: a row in languages.json, "npm ci && npm run cldr" in
// build/checks, and its wording, merged with upkeep/cmd. No code changes; the tests
// ask for its plural vector (CLDR) and name what is still missing. A script that no
// language had before needs its fonts named in the two stylesheets (app/printout,
// app/shell); plain text is wrapped by the width of its characters.
//
// What is wrong with a sentence, in the program or of a practice's own, is said by vet.
// Natively there are also upkeep, which merges and checks wordings, and exchange, which
// sends them to translators as XLIFF and takes them back.
//
// The formatters use tables generated from Unicode CLDR 48.2.0 (cldr.json, under
// LICENSE-unicode.txt), so that a sheet is the same on every device; where they
// differ from the browser's Intl on purpose, intl-differences.json says why.
package i18n
