package verdict

import (
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// Drives of one configuration compare nothing: no sentence, flaw or change names a
// second one, counts its drives or says cooler or warmer. With drives of another the
// same texts name both, so that what is looked for would be found.
func TestOneConfigurationNamesNoComparison(t *testing.T) {
	texts := func(j Judgement) []string {
		all := append(j.Clauses(), j.Sentence())
		for _, f := range j.Flaws {
			all = append(all, f.Text)
		}
		for _, s := range j.Strata {
			all = append(all, s.Change.Missing)
			for _, f := range s.Flaws {
				all = append(all, f.Text)
			}
		}
		return append(all, estimate.Texts(j.Remarks)...)
	}
	named := func(all []string) (found []string) {
		for _, s := range all {
			for _, w := range []string{`""`, "duct", "cooler", "warmer", "each side", "0 drives", " and can't", "+ 0", "than with"} {
				if strings.Contains(s, w) {
					found = append(found, w+": "+s)
				}
			}
		}
		return found
	}
	all := fair()
	if found := named(texts(answer(t, all, campaign.Question{}).Judge(campaign.InPlace))); !slices.ContainsFunc(found, func(s string) bool { return strings.HasPrefix(s, "cooler: ") }) || !slices.ContainsFunc(found, func(s string) bool { return strings.HasPrefix(s, "duct: ") }) {
		t.Errorf("two configurations: %q", found)
	}
	alone := answer(t, slices.DeleteFunc(all, func(d driven) bool { return d.after }), campaign.Question{})
	alone.After = ""
	j := alone.Judge(campaign.InPlace)
	for _, s := range named(texts(j)) {
		t.Errorf("names a comparison: %s", s)
	}
	if s := j.Sentence(); !strings.Contains(s, `"open" can't be compared`) || !strings.Contains(s, "one configuration") {
		t.Errorf("%q does not say that there is one configuration", s)
	}
	if len(j.Strata) == 0 {
		t.Error("no kind of driving")
	}
	for _, s := range j.Strata {
		if s.Word != SaysNothing {
			t.Errorf("%s: %v", s.Name, s.Word)
		}
	}
}
