package plan

import (
	"fmt"
	"math"
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
	steps = append(steps, calibration(k.Drives)...)
	steps = append(steps, fullThrottle(k)...)
	return append(steps, weather(k.Drives)...)
}

// missingSides asks for drives of a configuration that has none.
func missingSides(k Known) []Step {
	var steps []Step
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
	{[]drive.Role{drive.Ambient}, "fix a probe in clean air ahead of the radiator, shaded", "without ambient there is no rise, and days can't be compared"},
	{[]drive.Role{drive.Intake}, "fix a probe where the air enters the engine, out of sight of hot metal", "that is the temperature in question"},
	{[]drive.Role{drive.Speed, drive.EngineSpeed}, "record speed with a phone", "like stretches can't be found without speed"},
	{[]drive.Role{drive.TopTank, drive.Coolant}, "fix a probe on the radiator's top tank", "the thermostat's opening is read there best"},
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

// moreDrives works out how many drives a side show the wanted difference.
func moreDrives(k Known) []Step {
	var steps []Step
	for _, d := range k.Differences {
		a, b := d.Before, d.After
		if a.Drives+b.Drives == 0 || d.Verdict == compare.Cooler || d.Verdict == compare.Warmer {
			continue
		}
		if a.Drives < 2 || b.Drives < 2 {
			steps = append(steps, Step{fmt.Sprintf("get at least two drives a side with %q", d.Stratum),
				fmt.Sprintf("there are %d before and %d after, and one drive can't tell chance from change", a.Drives, b.Drives)})
			continue
		}
		sd := quantity.TemperatureDifference(math.Sqrt((float64(a.Deviation)*float64(a.Deviation) + float64(b.Deviation)*float64(b.Deviation)) / 2))
		n, err := DrivesNeeded(k.Wanted, sd, d.Change.Interval.Level, k.Power)
		if err != nil {
			steps = append(steps, Step{fmt.Sprintf("make the drives in %q more alike", d.Stratum), err.Error()})
			continue
		}
		if n > min(a.Drives, b.Drives) {
			steps = append(steps, Step{fmt.Sprintf("drive %q until there are %d drives a side", d.Stratum, n),
				fmt.Sprintf("drives of one configuration differ by %.1f K, so %d a side show %.1f K in %.0f of 100 cases", float64(sd), n, float64(k.Wanted), 100*k.Power)})
		}
	}
	return steps
}

func calibration(drives []*drive.Drive) []Step {
	for _, d := range drives {
		for _, r := range []drive.Role{drive.Ambient, drive.Intake} {
			if c, ok := d.Channels[r]; ok && c.Uncertainty == 0 {
				return []Step{{"put all probes in one cup of water for ten minutes, once ice-cold and once hot",
					"the channels have no calibration yet, and two uncalibrated ones can differ by 2 K before anything is measured"}}
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
		"only full throttle loses power; at part throttle the driver's foot makes up the difference, and a rise measured there overstates what full throttle sees"}}
}

func weather(drives []*drive.Drive) []Step {
	for _, d := range drives {
		if d.Weather.Pressure == 0 {
			return []Step{{"note the station pressure (or QNH and altitude) and the humidity of each drive", fmt.Sprintf("%q has none, and air density needs them", d.Name)}}
		}
	}
	return nil
}
