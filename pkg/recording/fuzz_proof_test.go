//go:build proof

package recording

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
)

// As often as the claims about fuzzing say: `make fuzz-proof`.
func TestFuzzProof(t *testing.T) {
	mutant.Formats(t, map[string]func(mutant.F){
		"FuzzText":         fuzzText,
		"FuzzGPX":          fuzzGPX,
		"FuzzNMEA":         fuzzNMEA,
		"FuzzSpreadsheet":  fuzzSpreadsheet,
		"FuzzKML":          fuzzKML,
		"FuzzTCX":          fuzzTCX,
		"FuzzFIT":          fuzzFIT,
		"FuzzOpenDocument": fuzzOpenDocument,
		"FuzzBinarySheet":  fuzzBinarySheet,
		"FuzzDatabase":     fuzzDatabase,
		"FuzzHTMLTable":    fuzzHTMLTable,
		"FuzzJSON":         fuzzJSON,
		"FuzzJSONLines":    fuzzJSONLines,
	})
}
