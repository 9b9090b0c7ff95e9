package plan

import (
	"fmt"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Known is what has been measured so far.
type Known struct {
	Drives        []*drive.Drive
	Differences   []compare.Difference
	Before, After string
	// Wanted is the smallest difference of rise that would matter; 0 takes
	// 3 K, which is about half a percent of full-throttle power.
	Wanted quantity.TemperatureDifference
	// Power is the chance with which it shall be shown; 0 takes 0.8.
	Power float64
}

// uncalibrated is by how much two probes that were never compared can differ,
// in K: the tolerance of class 2 is ±2.5 K. Common practice, no source.
const uncalibrated = 2.0

// kelvins writes a difference in K for the drives' owner.
func (k Known) kelvins(difference float64) string {
	var units quantity.Preferred
	for _, d := range k.Drives {
		units = units.Or(d.Units)
	}
	return units.Say(quantity.KindTemperatureDifference, "%.1f", difference)
}

// Step is one thing to do next, with its reason.
type Step struct{ Do, Why string }

// String returns the step in two lines.
func (s Step) String() string { return s.Do + "\n    because " + s.Why }

// Next returns what to measure next, most useful first; empty if nothing is
// missing.
func Next(k Known) []Step {
	if k.Wanted == 0 {
		k.Wanted = 3
	}
	if k.Power == 0 {
		k.Power = 0.8
	}
	steps := missingSides(k)
	steps = append(steps, missingChannels(k.Drives)...)
	if o := compare.OrderOf(k.Drives, k.Before, k.After); o.OneAfterTheOther {
		steps = append(steps, Step{"drive once more with the first configuration", o.String()})
	}
	steps = append(steps, moreDrives(k)...)
	steps = append(steps, k.calibration()...)
	steps = append(steps, fullThrottle(k)...)
	return append(steps, weather(k.Drives)...)
}

// missingSides asks for drives of a configuration that has none.
func missingSides(k Known) []Step {
	var steps []Step
	if k.Before != "" && k.After == "" {
		steps = append(steps, Step{"drive with another configuration", fmt.Sprintf("all drives are of %q, and nothing can be compared with itself", k.Before)})
	}
	for _, name := range []string{k.Before, k.After} {
		has := slices.ContainsFunc(k.Drives, func(d *drive.Drive) bool { return d.Configuration == name })
		if name != "" && !has {
			steps = append(steps, Step{fmt.Sprintf("drive with %q", name), "there is no drive with it, and nothing can be compared with the other alone"})
		}
	}
	return steps
}

// wants says what each channel is needed for.
var wants = []struct {
	roles []drive.Role
	do    string
	why   string
}{
	{[]drive.Role{drive.Ambient}, "fix a probe in clean air ahead of the radiator, shaded", "without ambient there is no rise, and days can't be compared; for drives that are made, note the air-temperature of each in the campaign (draft asks for it)"},
	{[]drive.Role{drive.Intake}, "fix a probe where the air enters the engine, out of sight of hot metal", "that is the temperature in question"},
	{[]drive.Role{drive.Speed, drive.EngineSpeed}, "record speed with a phone", "like stretches can't be found without speed"},
	{[]drive.Role{drive.TopTank, drive.Coolant}, "fix a probe on the radiator's top tank", "the thermostat's opening is read there best; an air-cooled engine has none: say cooling = \"air\" under [engine]"},
	{[]drive.Role{drive.EngineBay}, "fix a probe in the air of the engine bay", "it tells bay heat from heat of the duct"},
}

func missingChannels(drives []*drive.Drive) []Step {
	var steps []Step
	for _, w := range wants {
		var without []string
		for _, d := range drives {
			any := false
			for _, r := range w.roles {
				any = any || d.Has(r)
			}
			if d.Warming.AirCooled && slices.Contains(w.roles, drive.TopTank) {
				continue // it has no thermostat
			}
			if !any {
				without = append(without, fmt.Sprintf("%q", d.Name))
			}
		}
		if len(without) > 0 {
			steps = append(steps, Step{w.do, fmt.Sprintf("%s (missing in %s)", w.why, strings.Join(without, ", "))})
		}
	}
	return steps
}

// Missing asks for the channels that drives lack.
func Missing(drives []*drive.Drive) []Step { return missingChannels(drives) }

// mostDrives is how many a side are asked for at most.
const mostDrives = 30

// moreDrives works out how many drives a side would show the wanted change in
// the kind of driving that counts.
func moreDrives(k Known) []Step {
	for _, d := range k.Differences {
		a, b := d.Before.Drives, d.After.Drives
		if !d.Primary || a+b == 0 || d.Verdict > compare.Undecided {
			continue
		}
		if a == 0 || b == 0 {
			return []Step{{fmt.Sprintf("get at least two drives a side with %q", d.Stratum),
				fmt.Sprintf("there are %d before and %d after, and nothing can be compared with one side alone", a, b)}}
		}
		n, chance := enough(d, k)
		if n == 0 {
			return []Step{{fmt.Sprintf("make the drives in %q more alike", d.Stratum),
				fmt.Sprintf("drives of one configuration differ so much that %d a side would show %s in %.0f of 100 cases only: the same road, the same time of day, no rain", mostDrives, k.kelvins(float64(k.Wanted)), 100*chance)}}
		}
		if n > min(a, b) {
			return []Step{{fmt.Sprintf("drive %q until there are %d drives a side, in the order A-B-B-A", d.Stratum, n),
				fmt.Sprintf("by what is known of how drives differ, %d a side show a change of %s in %.0f of 100 cases", n, k.kelvins(float64(k.Wanted)), 100*chance)}}
		}
	}
	return nil
}

// enough returns the least number of drives a side that shows the wanted change
// with the wanted chance, and that chance; 0 where mostDrives do not.
func enough(d compare.Difference, k Known) (int, float64) {
	low, high := max(1, min(d.Before.Drives, d.After.Drives)), mostDrives
	best := d.Assurance(high, k.Wanted)
	if !(best >= k.Power) {
		return 0, best
	}
	for high-low > 1 {
		mid := (low + high) / 2
		if chance := d.Assurance(mid, k.Wanted); chance >= k.Power {
			high, best = mid, chance
		} else {
			low = mid
		}
	}
	return high, best
}

func (k Known) calibration() []Step {
	for _, d := range k.Drives {
		for _, r := range []drive.Role{drive.Ambient, drive.Intake} {
			if c, ok := d.Channels[r]; ok && c.Uncertainty == 0 {
				return []Step{{"put all probes in one cup of water for ten minutes, once ice-cold and once hot",
					fmt.Sprintf("the channels have no calibration yet, and two uncalibrated ones can differ by %s before anything is measured", k.kelvins(uncalibrated))}}
			}
		}
	}
	return nil
}

func fullThrottle(k Known) []Step {
	for _, d := range k.Differences {
		if d.AtFullThrottle && min(d.Before.Drives, d.After.Drives) >= 2 {
			return nil
		}
	}
	if len(k.Differences) == 0 {
		return nil
	}
	return []Step{{"add two full-throttle stretches to each drive, only where road, law and car allow it",
		"only full throttle loses power; at part throttle the driver's foot makes up the difference, and a rise measured there is not the one of full throttle: a pull of seconds sees less of it, a long climb can see more"}}
}

func weather(drives []*drive.Drive) []Step {
	for _, d := range drives {
		if d.Weather.Pressure == 0 {
			return []Step{{"note the station pressure (or QNH and altitude) and the humidity of each drive", fmt.Sprintf("%q has none, and air density needs them", d.Name)}}
		}
	}
	return nil
}
