// Package e2e tests the whole app in a real browser, as a dentist and a patient
// use it.
package e2e
