package verdict

import (
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// IntakeChange is what one of several intake probes says in the kind of driving
// that counts. The answer rests on their mean.
type IntakeChange struct {
	Role       drive.Role
	Difference compare.Difference
}

// String says the change of one probe.
func (c IntakeChange) String() string { return fmt.Sprintf("%s: %v", c.Role, c.Difference) }

// eachIntake compares each of several intake probes by itself.
func (a *Answer) eachIntake(rules compare.Rules) error {
	var roles []drive.Role
	for _, r := range a.Runs {
		for _, p := range r.Drive.IntakeProbes() {
			if !slices.Contains(roles, p) {
				roles = append(roles, p)
			}
		}
	}
	slices.Sort(roles)
	rules.Primary = a.primary()
	rules.Strata = slices.DeleteFunc(slices.Clone(rules.Strata), func(s compare.Stratum) bool { return s.Identity() != rules.Primary })
	for _, role := range roles {
		rules.Role = role
		rises, _ := compare.Rises(compared(a.Runs), rules) // a drive without this probe has no intake either, and stands among those left out
		if !slices.ContainsFunc(rises, of(a.Before)) || !slices.ContainsFunc(rises, of(a.After)) {
			continue
		}
		differences, err := compare.Configurations(rises, a.Before, a.After, rules)
		if err != nil {
			return err
		}
		a.Intakes = append(a.Intakes, IntakeChange{role, differences[0]})
	}
	return nil
}

func of(configuration string) func(compare.DriveRise) bool {
	return func(r compare.DriveRise) bool { return r.Configuration == configuration }
}
