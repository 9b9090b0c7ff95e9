package thermostat

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Rules are the physical bounds that the search works with. Start from
// [DefaultRules] and change single fields. Times are in seconds.
type Rules struct {
	// MaximumGap is the longest gap in a channel that is bridged; no answer
	// is given across a longer one.
	MaximumGap float64
	// Lowest is the lowest coolant temperature at which a thermostat
	// regulates. Thermostats of old cars are stamped 74 to 92 °C (common
	// practice, no source); below this a level is a shelf, not regulation.
	Lowest quantity.Temperature
	// MinimumRise is the least fast rise of the radiator's top tank, or half
	// of it for the bottom tank, that counts as an opening; RiseTime is the
	// time within which it must come.
	MinimumRise quantity.TemperatureDifference
	RiseTime    float64
	// MinimumRate is the least rate of that rise in K/s. The engine itself
	// warms its coolant more slowly.
	MinimumRate float64
	// Band is how far regulated coolant strays from its level downward.
	Band quantity.TemperatureDifference
	// RegulationTime is how long the level must be held to count by itself.
	RegulationTime float64
	// MinimumDeficit is how much hotter the coolant would have become without
	// an opening, by the warm-up so far under the same load, for a level to
	// count as regulation.
	MinimumDeficit quantity.TemperatureDifference
	// MinimumStep is the least step of intake or bay air; StepEvidence the
	// least evidence for it when it stands alone.
	MinimumStep  quantity.TemperatureDifference
	StepEvidence float64
	// Agreement is how long after the opening the step of a later channel may
	// come and still confirm it (radiator filling, lag of probe and bay).
	Agreement float64
	// PlateauTime is how long a low plateau must last, while driving faster
	// than PlateauSpeed on average, to be called stuck open.
	PlateauTime  float64
	PlateauSpeed quantity.Speed
	// Opening is the coolant's reading at which this car's thermostat opens, as
	// [Learn] finds it, with OpeningWithin to either side; 0 if it is not known.
	Opening       quantity.Temperature
	OpeningWithin quantity.TemperatureDifference
}

// DefaultRules returns bounds that suit a liquid-cooled car engine.
func DefaultRules() Rules {
	return Rules{
		MaximumGap: 10, Lowest: quantity.Celsius(68),
		MinimumRise: 8, RiseTime: 90, MinimumRate: 0.5,
		Band: 5, RegulationTime: 90, MinimumDeficit: 6,
		MinimumStep: 4, StepEvidence: 12, Agreement: 180,
		PlateauTime: 300, PlateauSpeed: 35 * quantity.KilometrePerHour,
	}
}

func (r Rules) check() error {
	seconds, kelvin := quantity.KindDuration.SI(), quantity.KindTemperatureDifference.SI()
	for _, c := range []struct {
		name  string
		value float64
		unit  quantity.Unit
	}{
		{"MaximumGap", r.MaximumGap, seconds},
		{"Lowest", r.Lowest.Kelvin(), quantity.KindTemperature.SI()},
		{"MinimumRise", r.MinimumRise.Kelvins(), kelvin},
		{"RiseTime", r.RiseTime, seconds},
		{"Band", r.Band.Kelvins(), kelvin},
		{"MinimumStep", r.MinimumStep.Kelvins(), kelvin},
		{"PlateauTime", r.PlateauTime, seconds},
	} {
		if !(c.value > 0) || math.IsInf(c.value, 1) {
			return quantity.OutOfRange("thermostat.Rules", c.name, c.value, 0, math.Inf(1), c.unit, "start from thermostat.DefaultRules()")
		}
	}
	return nil
}
