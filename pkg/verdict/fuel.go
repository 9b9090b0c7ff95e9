package verdict

import (
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/fuel"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// checkFuel says whether the fuel may have boiled, where a probe of the owner's
// own sits at it: a role whose name has "fuel", such as "own fuel" or "own fuel
// line". What is sold in summer and in winter differ, and nobody said which it is.
func (l *Look) checkFuel() {
	for _, r := range l.Drive.RoleList() {
		c := l.Drive.Channels[r]
		if !r.IsOwn() || !strings.Contains(string(r), "fuel") || c.Series.Dimension != quantity.KindTemperature || c.Series.Present() == 0 {
			continue
		}
		hottest := quantity.Kelvin(c.Series.Quantile(c.Series.Interval(), 0.99))
		if text := boiling(l.Drive, r, hottest); text != "" {
			l.add(HotFuel, string(r), text)
		}
	}
}

// boiling says what the hottest reading means; empty where no petrol boils at it.
func boiling(d *drive.Drive, r drive.Role, hottest quantity.Temperature) string {
	p, of := d.Weather.Pressure, "at the drive's air pressure"
	if !(p > 0) {
		p, of = quantity.StandardAtmosphere, "at sea level, since the drive's air pressure is not known; higher up earlier"
	}
	summer, err := fuel.AssessHot(hottest, p, fuel.Summer())
	if err != nil {
		return ""
	}
	winter, err := fuel.AssessHot(hottest, p, fuel.Winter())
	if err != nil || winter.Risk == fuel.StaysLiquid {
		return ""
	}
	starts := func(h fuel.Hot) string {
		return d.Units.Span(quantity.KindTemperature, "%.0f", h.Starts.Interval.Low, h.Starts.Interval.High)
	}
	return fmt.Sprintf("%s reached %s: %v if it was sold in summer (boiling begins at %s), %v if in winter (%s), %s. Vapour lock and a hot engine that won't start come from there; fuel vapour burns, so let it cool before anything is touched",
		r, d.Units.Say(quantity.KindTemperature, "%.0f", hottest.Kelvin()), summer.Risk, starts(summer), winter.Risk, starts(winter), of)
}
