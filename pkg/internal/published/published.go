// Package published reads what reference programs printed, for tests to compare
// with. Only tests import it.
package published

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
)

// Values returns the numbers under a name, in order: lines "name[0],1.5",
// "name[1],2" of a file, which other names may stand between. The test ends
// where the file can't be read, a number is none, or nothing stands under the
// name.
func Values(t testing.TB, file, name string) []float64 {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var values []float64
	for line := range strings.Lines(string(text)) {
		key, value, _ := strings.Cut(strings.TrimSpace(line), ",")
		if key == fmt.Sprintf("%s[%d]", name, len(values)) {
			x, err := strconv.ParseFloat(value, 64)
			if err != nil {
				t.Fatal(err)
			}
			values = append(values, x)
		}
	}
	if len(values) == 0 {
		t.Fatalf("%s has nothing under %q", file, name)
	}
	return values
}

// Table returns the rows of a file that hold numbers alone, as they stand
// between commas: comments and headers are left out. The test ends where the
// file can't be read or has fewer than least such rows.
func Table(t testing.TB, file string, least int) [][]float64 {
	t.Helper()
	return numbers(t, file, least, 0)
}

// Named is [Table] for rows whose last cell is a name, such as that of a law,
// which is left out.
func Named(t testing.TB, file string, least int) [][]float64 {
	t.Helper()
	return numbers(t, file, least, 1)
}

// numbers returns the rows of numbers without their last cells, so many as there
// are names.
func numbers(t testing.TB, file string, least, names int) (rows [][]float64) {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		var row []float64
		cells := strings.Split(strings.TrimSpace(line), ",")
		for _, cell := range cells[:len(cells)-names] {
			x, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				row = nil
				break
			}
			row = append(row, x)
		}
		if row != nil {
			rows = append(rows, row)
		}
	}
	if len(rows) < least {
		t.Fatalf("%s: %d rows of numbers, want %d or more", file, len(rows), least)
	}
	return rows
}
