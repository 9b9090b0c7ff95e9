package parse

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
)

// FuzzNumber compares the number reader with the standard library's.
func FuzzNumber(f *testing.F) { fuzzNumber(f) }

func fuzzNumber(f mutant.F) {
	for _, s := range []string{"0", "-1.5", "+9.90000000E+37", "123456789.123456789", "1e5", ".5", "5.", "0x1p3", "1_0", "99000000000000000000000000000000000000.00", "4.35", "0.1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got, ok := Number([]byte(s), '.')
		want, err := strconv.ParseFloat(strings.Replace(s, "−", "-", 1), 64) // the sign of mathematics is one, too
		if !ok {
			return // it takes less than the standard library, such as no hexadecimal
		}
		if err != nil && !math.IsInf(want, 0) {
			t.Fatalf("%q is read as %v; the standard library refuses it: %v", s, got, err)
		}
		if got != want {
			t.Fatalf("%q is read as %v, want %v", s, got, want)
		}
	})
}
