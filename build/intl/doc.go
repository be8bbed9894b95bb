// Package intl holds the formatters of i18n against the browser's own, Intl. The
// test needs Chromium; what may differ, and why, is in i18n/intl-differences.json.
package intl
