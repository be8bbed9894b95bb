package outside

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"
)

// Half4 is half of the fourth decimal: what rounding to four decimals may differ by.
const Half4 = 0.00005 + 1e-9

// Table reads a published table: the rows below its header, comments left out.
func Table(t testing.TB, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", path, len(rows), err)
	}
	return rows[1:]
}

// Num reads a number of a table.
func Num(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
