package drive

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// A warning of a file's own names it once.
func TestAboutNamesAFileOnce(t *testing.T) {
	for subject, want := range map[string]string{"": "logs/a.csv", "a.csv": "logs/a.csv", "T1": "logs/a.csv, T1"} {
		if got := about("logs/a.csv", estimate.Warning{Subject: subject}).Subject; got != want {
			t.Errorf("%q: %q, want %q", subject, got, want)
		}
	}
}
