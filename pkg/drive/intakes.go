package drive

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// IntakeIncomplete is the kind of a note on a drive in which not every intake
// probe has readings, so that it has no intake to be compared.
const IntakeIncomplete estimate.Kind = "intake incomplete"

// joinIntakes makes the intake of the numbered intake probes: their mean where
// all of them read. One probe less would make another mean, and the difference
// of two intakes is no change of one; such a drive has no intake, and says so.
// number is how many probes make the intake; 0: as many as there are.
func (d *Drive) joinIntakes(parts []Part, number int) {
	wanted := map[Role]bool{}
	for _, p := range parts {
		for _, in := range p.Inputs {
			if in.Role.IntakeNumber() > 0 {
				wanted[in.Role] = true
			}
		}
	}
	if len(wanted) == 0 || d.Has(Intake) {
		return
	}
	for n := range number {
		wanted[IntakeProbe(n+1)] = true
	}
	have := d.IntakeProbes()
	if len(have) < len(wanted) {
		var missing []string
		for r := range wanted {
			if !d.Has(r) {
				missing = append(missing, string(r))
			}
		}
		slices.Sort(missing)
		d.Notes = append(d.Notes, estimate.Warning{Kind: IntakeIncomplete, Subject: string(Intake),
			Text: fmt.Sprintf("the intake is the mean of %d probes, and %s has no readings here; the mean of fewer would be another one. Leave that probe out of all drives to compare the others", len(wanted), strings.Join(missing, " and "))})
		return
	}
	d.Channels[Intake] = d.meanOf(have)
}

// meanOf is the mean of temperature channels on the times of the first.
func (d *Drive) meanOf(roles []Role) *Channel {
	first := d.Channels[roles[0]]
	sum := slices.Clone(first.Series.Value)
	variance := first.Uncertainty * first.Uncertainty
	known := first.Uncertainty > 0
	sources, devices := []string{first.Source}, []string{first.Device}
	for _, r := range roles[1:] {
		c := d.Channels[r]
		for i, v := range c.Series.Resample(first.Series.Time, MaxGap).Value {
			sum[i] += v // NaN where it does not read
		}
		variance += c.Uncertainty * c.Uncertainty
		known = known && c.Uncertainty > 0
		sources = append(sources, c.Source)
		if !slices.Contains(devices, c.Device) {
			devices = append(devices, c.Device)
		}
	}
	n := float64(len(roles))
	for i := range sum {
		sum[i] /= n
	}
	uncertainty := 0.0
	if known {
		uncertainty = math.Sqrt(variance) / n
	}
	return &Channel{Role: Intake, Series: first.Series.With(string(Intake), series.Temperature, sum), Device: strings.Join(devices, " + "),
		Source: "mean of " + strings.Join(sources, " and "), Column: "mean of " + fmt.Sprint(len(roles)) + " probes", Uncertainty: uncertainty,
		Repairs: []string{fmt.Sprintf("mean of %d intake probes, where all of them read", len(roles))}}
}
