//go:build proof

package arrowipc_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
)

// As often as the claims about fuzzing say: `make fuzz-proof`.
func TestFuzzProof(t *testing.T) {
	mutant.Formats(t, map[string]func(mutant.F){"FuzzArrow": fuzzArrow})
}
