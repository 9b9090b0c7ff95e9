package compare

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"gonum.org/v1/gonum/stat"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Limits above which two sides of a stratum are called unlike, and above which
// they are not compared. Common practice, no source; the rule of the range is
// that of CalTRACK 2.0, 3.7.5.2.
const (
	rangeShare   = 0.1  // of the range of ambient before, by which after may leave it
	rangeLeast   = 1.0  // K that it may leave it in any case
	ambientLimit = 5.0  // K
	ambientBlock = 15.0 // K
	speedLimit   = 10 * quantity.KilometrePerHour
	speedBlock   = 20 * quantity.KilometrePerHour
	sinceLimit   = 600. // s
	groundLimit  = 0.5  // of the road that both sides have to have in common
)

// imbalance names what was unlike on the two sides.
func imbalance(s Stratum, before, after []DriveRise) []estimate.Warning {
	var w []estimate.Warning
	units := unitsOf(before, after)
	subject := s.In(units)
	check := func(kind estimate.Kind, what string, of quantity.Kind, limit float64, f func(DriveRise) float64) {
		a, b := meanOf(before, f), meanOf(after, f)
		if math.Abs(a-b) > limit {
			w = append(w, estimate.Warning{Kind: kind, Subject: subject, Text: fmt.Sprintf("%s differs: %s before, %s after; the interval is wider for it", what, units.Say(of, "%.0f", a), units.Say(of, "%.0f", b))})
		}
	}
	check(Weather, "ambient temperature", quantity.KindTemperature, ambientLimit, func(r DriveRise) float64 { return r.Ambient.Kelvin() })
	check(Traffic, "speed", quantity.KindSpeed, speedLimit.MetresPerSecond(), func(r DriveRise) float64 { return r.Speed.MetresPerSecond() })
	check(WarmUp, "time since the thermostat opened", quantity.KindDuration, sinceLimit, func(r DriveRise) float64 { return r.SinceOpening })
	if common := CommonGround(before, after); common < groundLimit {
		w = append(w, estimate.Warning{Kind: Route, Subject: subject, Text: fmt.Sprintf("the drives went over other roads: %.0f %% of the ground is common to both sides; hills, traffic and wind differ from road to road, and the interval is wider for it. Drive both configurations on one road", 100*common)})
	}
	if text := beyond(before, after); text != "" && !estimate.Has(w, Weather) {
		w = append(w, estimate.Warning{Kind: Weather, Subject: subject, Text: text})
	}
	if others := notShared(before, after); len(others) > 0 {
		var names []string
		for _, c := range others {
			names = append(names, c.Source.ID)
		}
		w = append(w, estimate.Warning{Kind: OtherProbe, Subject: subject, Text: fmt.Sprintf("not every drive was measured by the same probes (%s): two that were not compared read differently, and the interval is wider for it", strings.Join(names, ", "))})
	}
	return w
}

// beyond says by how much the weather after leaves that before.
func beyond(before, after []DriveRise) string {
	units := unitsOf(before, after)
	extent := func(rises []DriveRise) (low, high float64) {
		low, high = math.Inf(1), math.Inf(-1)
		for _, r := range rises {
			low, high = math.Min(low, r.Ambient.Kelvin()), math.Max(high, r.Ambient.Kelvin())
		}
		return low, high
	}
	low, high := extent(before)
	margin := math.Max(rangeLeast, rangeShare*(high-low))
	if l, h := extent(after); l < low-margin || h > high+margin {
		return fmt.Sprintf("the drives after were at %s outside, those before at %s; what the weather does there is taken from other cars, and the interval is wider for it", units.Span(quantity.KindTemperature, "%.0f", l, h), units.Span(quantity.KindTemperature, "%.0f", low, high))
	}
	return ""
}

// blocked takes the word away where the sides can't be compared.
func (d *Difference) blocked(before, after []DriveRise) {
	if len(before) == 1 && len(after) == 1 {
		d.block(FewDrives, "one drive on each side can't tell a change from two different days; drive each configuration at least once more")
	}
	for _, side := range [][]DriveRise{before, after} {
		if one, other, found := copies(side); found {
			d.block(Copies, fmt.Sprintf("drives %q and %q agree to the last digit: are these copies of one drive? Keep one of them", one, other))
		}
	}
	ambient := func(r DriveRise) float64 { return r.Ambient.Kelvin() }
	if a, b := meanOf(before, ambient), meanOf(after, ambient); math.Abs(a-b) > ambientBlock {
		d.block(Weather, fmt.Sprintf("%s outside before and %s after are too far apart for one comparison; drive both configurations in like weather", d.Units.Say(quantity.KindTemperature, "%.0f", a), d.Units.Say(quantity.KindTemperature, "%.0f", b)))
	}
	speed := func(r DriveRise) float64 { return r.Speed.MetresPerSecond() }
	if a, b := meanOf(before, speed), meanOf(after, speed); math.Abs(a-b) > speedBlock.MetresPerSecond() {
		d.block(Traffic, fmt.Sprintf("%s before and %s after are too far apart for one comparison; drive both on the same road", d.Units.Say(quantity.KindSpeed, "%.0f", a), d.Units.Say(quantity.KindSpeed, "%.0f", b)))
	}
}

// copies finds two drives that are one: their rise, outside air, speed and times are
// the very same. Displays of 0.1 K give two short stretches the same means by chance,
// in one of hundred pairs or so; of 100 drives there are 5,000 pairs.
func copies(rises []DriveRise) (one, other string, found bool) {
	same := func(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }
	for i, r := range rises {
		for _, q := range rises[:i] {
			if r.Mean == q.Mean && r.Ambient == q.Ambient && same(float64(r.Speed), float64(q.Speed)) && r.Time == q.Time && same(r.SinceOpening, q.SinceOpening) {
				return q.Drive, r.Drive, true
			}
		}
	}
	return "", "", false
}

func meanOf(rises []DriveRise, f func(DriveRise) float64) float64 {
	x := make([]float64, len(rises))
	for i, r := range rises {
		x[i] = f(r)
	}
	return stat.Mean(x, nil)
}

// Order says in words what is wrong with the drives' order in time, see
// [OrderOf]; empty where nothing is.
func Order(drives []*drive.Drive, before, after string) string {
	return OrderOf(drives, before, after).String()
}

// TimeOrder is how two configurations follow one another in time.
type TimeOrder struct {
	// OneAfterTheOther is set where all drives of one configuration come before
	// all of the other: anything else that changed in between (season, tune,
	// route) looks like the effect.
	OneAfterTheOther bool
	// First is the configuration of the earliest drive; empty without a date.
	First string
	// Changes is how often the configuration changed from drive to drive.
	Changes int
}

// OrderOf says how the dated drives of two configurations follow one another.
func OrderOf(drives []*drive.Drive, before, after string) TimeOrder {
	var dated []*drive.Drive
	for _, d := range drives {
		if (d.Configuration == before || d.Configuration == after) && !d.Start.IsZero() {
			dated = append(dated, d)
		}
	}
	sort.SliceStable(dated, func(i, j int) bool { return dated[i].Start.Before(dated[j].Start) })
	var o TimeOrder
	for i, d := range dated {
		if i == 0 {
			o.First = d.Configuration
		} else if d.Configuration != dated[i-1].Configuration {
			o.Changes++
		}
	}
	o.OneAfterTheOther = o.Changes == 1
	return o
}

// String says what is wrong and what to do; empty where the order is fine.
func (o TimeOrder) String() string {
	if !o.OneAfterTheOther {
		return ""
	}
	return fmt.Sprintf("all drives with %q come before all with the other: whatever else changed in between looks like the effect. Go back to the first configuration for a drive (A-B-A), better A-B-B-A.", o.First)
}
