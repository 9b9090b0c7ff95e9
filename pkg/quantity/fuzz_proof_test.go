//go:build proof

package quantity_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
)

// As often as the claims about fuzzing say: `make fuzz-proof`.
func TestFuzzProof(t *testing.T) {
	mutant.Values(t, map[string]func(mutant.F){
		"FuzzParse":         fuzzParse,
		"FuzzParsePressure": fuzzParsePressure,
	})
}
