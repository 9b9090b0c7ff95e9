package chart

import (
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
)

// The title of a comparison of one configuration names no second one; with two that
// share no kind of driving it names both.
func TestTitleOfOneConfiguration(t *testing.T) {
	alone := []compare.Difference{{Before: compare.Mean{Drives: 3}}}
	if s := comparisonTitle(alone, "open", ""); strings.Contains(s, " with ") || strings.Contains(s, "after") || !strings.Contains(s, "one configuration") {
		t.Errorf("%q", s)
	}
	if s := comparisonTitle(alone, "open", "duct"); !strings.Contains(s, "open") || !strings.Contains(s, "duct") {
		t.Errorf("%q", s)
	}
}
