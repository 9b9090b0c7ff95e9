package rtype

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

func TestCheck(t *testing.T) {
	if err := Check(); err != nil {
		t.Fatal(err)
	}
}

func BenchmarkCheck(b *testing.B) {
	steps := []func() error{abi.Check, checkStubs, checkLiterals, checkForged, checkKinds}
	for i := 0; b.Loop(); i++ {
		if i%100 == 0 {
			stubsMu.Lock()
			stubsUsed = 2000 // earlier types of this benchmark are not used
			stubsMu.Unlock()
		}
		for _, step := range steps {
			if err := step(); err != nil {
				b.Fatal(err)
			}
		}
	}
}
