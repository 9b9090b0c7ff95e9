//go:build proof

package parse

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
)

// As often as the claims about fuzzing say: `make fuzz-proof`.
func TestFuzzProof(t *testing.T) {
	mutant.Values(t, map[string]func(mutant.F){
		"FuzzNumber":  fuzzNumber,
		"FuzzDate":    fuzzDate,
		"FuzzClock":   fuzzClock,
		"FuzzDegrees": fuzzDegrees,
	})
}
