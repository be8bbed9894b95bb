// Package mutation holds the proof that no figure a rule names is dead weight:
// change it, and a plan, a sheet or a check against the outside changes too.
package mutation
