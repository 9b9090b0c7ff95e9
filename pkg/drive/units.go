package drive

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// read are the units in which people read each kind of quantity. Files hold
// others too, kelvin, metres per second and knots, which are an instrument's
// choice and not its owner's.
var read = map[quantity.Kind][]quantity.Unit{
	quantity.KindTemperature: {quantity.KindTemperature.Unit("°C"), quantity.KindTemperature.Unit("°F")},
	quantity.KindSpeed:       {quantity.KindSpeed.Unit("km/h"), quantity.KindSpeed.Unit("mph")},
	quantity.KindPressure:    {quantity.KindPressure.Unit("hPa"), quantity.KindPressure.Unit("inHg")},
}

// UnitsOf returns the units in which the owner of files reads by what they
// hold: of each kind that of most columns in all of them, of equals the first.
func UnitsOf(all ...*recording.Recording) quantity.Preferred {
	most := func(k quantity.Kind) (best quantity.Unit) {
		var logged []quantity.Unit
		count := map[quantity.Unit]int{}
		for _, r := range all {
			for _, c := range r.OfDimension(k) {
				if i := slices.IndexFunc(read[k], func(u quantity.Unit) bool { return u.Symbol() == c.Unit }); i >= 0 && !c.Derived {
					logged = append(logged, read[k][i])
					count[read[k][i]]++
				}
			}
		}
		for _, u := range logged {
			if count[u] > count[best] {
				best = u
			}
		}
		return best
	}
	units := quantity.Preferred{Temperature: most(quantity.KindTemperature), Speed: most(quantity.KindSpeed), Pressure: most(quantity.KindPressure)}
	return units.Or(customary(units))
}

// customary are the units that go with those that are known: who reads °F reads
// miles per hour and inches of mercury where nothing says otherwise.
func customary(known quantity.Preferred) quantity.Preferred {
	if known.Temperature != quantity.KindTemperature.Unit("°F") {
		return quantity.Preferred{}
	}
	return quantity.Preferred{Speed: quantity.KindSpeed.Unit("mph"), Pressure: quantity.KindPressure.Unit("inHg")}
}
