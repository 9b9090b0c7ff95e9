package verdict

import (
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
	"github.com/bonnetbook/bonnetbook/pkg/warm"
)

// warmBasis says by what the engine counts as warm in the drives that count,
// where that is not always the opening of its thermostat.
func (a *Answer) warmBasis() string {
	seen, other := 0, map[string]bool{}
	var words []string
	for _, r := range a.Runs {
		if a.countsNowhere(r.Drive.Name) {
			continue
		}
		s := r.Warm()
		text := ""
		switch s.Basis {
		case warm.ByRule:
			text = "warm by the rule " + r.Drive.Warming.Rule.In(r.Drive.Units)
		case warm.ByHand, warm.ByLevel:
			text = "warm by " + s.Basis.String()
		default:
			seen++
		}
		if text != "" && !other[text] {
			other[text] = true
			words = append(words, text)
		}
	}
	if len(words) > 0 && seen > 0 {
		words = append(words, fmt.Sprintf("in %d drives by the thermostat's opening", seen))
	}
	return strings.Join(words, ", ")
}

// warmByRule says what is not known where a rule stands for the thermostat,
// and what is stated of a drive that it contradicts.
func (a *Answer) warmByRule() []Flaw {
	var all []Flaw
	var blind []string
	bases := map[string]map[bool]int{a.Before: {}, a.After: {}}
	for _, r := range a.Runs {
		if a.countsNowhere(r.Drive.Name) {
			continue
		}
		s := r.Warm()
		bases[r.Drive.Configuration][s.Basis.Stated()]++
		if s.Basis.Stated() && r.Opening.Outcome == thermostat.NotDecidable {
			blind = append(blind, fmt.Sprintf("%q", r.Drive.Name))
		}
		for _, w := range s.Warnings {
			all = append(all, Flaw{Kind: FlawWarmStart, Text: w.Text})
		}
	}
	if len(blind) > 0 {
		all = append(all, Flaw{Kind: FlawOther, Text: fmt.Sprintf("a thermostat that stays closed, or opens late, is not noticed where no probe shows it and the engine counts as warm by what was stated: in %s", strings.Join(blind, ", "))})
	}
	if b, c := bases[a.Before], bases[a.After]; len(b) > 0 && len(c) > 0 && (b[false] == 0) != (c[false] == 0) {
		all = append(all, Flaw{Kind: FlawWarmStart, Text: fmt.Sprintf("the engine counts as warm by its thermostat's opening with one of %q and %q, and by a rule with the other: the two may begin at different warmth", a.Before, a.After)})
	}
	return all
}
