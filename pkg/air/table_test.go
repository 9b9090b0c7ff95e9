package air_test

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// readTable reads a table of numbers with comment lines and a header.
func readTable(t *testing.T, path string) [][]float64 {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var rows [][]float64
	for scan := bufio.NewScanner(f); scan.Scan(); {
		var row []float64
		for _, cell := range strings.Split(scan.Text(), ",") {
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
	if len(rows) < 10 {
		t.Fatalf("%s: %d rows", path, len(rows))
	}
	return rows
}

// within reports a relative difference above tolerance.
func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s: got %.8g, want %.8g within %g (off by %.2g)", what, got, want, tolerance, got/want-1)
	}
}
