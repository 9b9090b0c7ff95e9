package rtype

import "testing"

func TestCheck(t *testing.T) {
	if err := Check(); err != nil {
		t.Fatal(err)
	}
}

func BenchmarkCheck(b *testing.B) {
	steps := []func() error{checkTypeLayout, checkStubs, checkLiterals, checkForged}
	for i := 0; b.Loop(); i++ {
		if i%1000 == 0 {
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
