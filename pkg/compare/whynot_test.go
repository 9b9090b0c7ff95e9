package compare_test

import (
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// Why a kind of driving may not be compared names it once, before the reasons, and
// each reason once; what does not block it is none.
func TestWhyNotNamesItsKindOnce(t *testing.T) {
	d := compare.Difference{Stratum: "full throttle", Verdict: compare.NotComparable, Blocking: []estimate.Kind{compare.Copies, compare.Weather}, Flaws: []estimate.Warning{
		{Kind: compare.Copies, Text: "full throttle: drives agree"}, {Kind: compare.Copies, Text: "drives agree"},
		{Kind: compare.Weather, Text: "too far apart."}, {Kind: compare.Outlier, Text: "full throttle: an odd one"}}}
	d.Before.Drives, d.After.Drives = 2, 2
	text := d.WhyNot()
	if strings.Count(text, "full throttle") != 1 || !strings.HasSuffix(text, ": drives agree; too far apart") {
		t.Error(text)
	}
}
