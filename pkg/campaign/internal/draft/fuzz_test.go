package draft

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
)

// FuzzConfigure: an answer gives each drive it names one configuration with a
// name, or is refused and gives none.
func FuzzConfigure(f *testing.F) { fuzzConfigure(f) }

func fuzzConfigure(f mutant.F) {
	for _, s := range []string{"open", "1-3=open,4-6=duct", "1,3,5=open,2,4,6=duct", "all=x", "3-1=open", "1,,3=open", "day 2=a=b", "999999999999999999999=x", "=", ",", "1-=a", "−1=a"} {
		f.Add(s)
	}
	s := sketchOf(6)
	f.Fuzz(func(t *testing.T, answer string) {
		for i := range s.Drives {
			s.Drives[i].Configuration = "?"
		}
		err := s.configure(answer)
		for _, d := range s.Drives {
			if d.Configuration == "" || err != nil && d.Configuration != "?" {
				t.Fatalf("%q: %v, and %v", answer, err, s.Drives)
			}
		}
	})
}
