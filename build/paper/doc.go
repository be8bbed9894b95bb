// Package paper holds tests of the sheets as they are printed, measured in a
// browser: every kind, language, paper and size.
package paper
