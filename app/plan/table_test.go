package plan

import (
	"encoding/csv"
	"strconv"
	"strings"
	"testing"
)

// published reads a table of testdata/published: its rows below the header.
func published(t testing.TB, name string) [][]string {
	t.Helper()
	r := csv.NewReader(strings.NewReader(string(readFile(t, testdata+"published/"+name))))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	return rows[1:]
}

func num(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
