package verdict

import (
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Power is what the change is worth at full throttle.
type Power struct {
	// Outside is the air for which power is compared.
	Outside air.State
	// Worths holds one for each full-throttle stratum that both sides have.
	Worths []compare.Worth
	// Warnings say why there is none.
	Warnings []estimate.Warning
}

// WorthAtFullThrottle turns the differences at full throttle into power, in
// air of the given temperature and of the pressure and humidity that the
// drives have on average. What stands in the way is a warning, not an error:
// data without full throttle or weather are usual.
func WorthAtFullThrottle(differences []compare.Difference, drives []*drive.Drive, outside quantity.Temperature) Power {
	var p Power
	warn := func(k estimate.Kind, subject, text string, args ...any) {
		p.Warnings = append(p.Warnings, estimate.Warning{Kind: k, Subject: subject, Text: fmt.Sprintf(text, args...)})
	}
	var usable []compare.Difference
	for _, d := range differences {
		if d.AtFullThrottle && d.Before.Drives > 0 && d.After.Drives > 0 {
			usable = append(usable, d)
		}
	}
	if len(usable) == 0 {
		warn(NoFullThrottle, "", "No power is told: no stretch at full throttle may be compared in both configurations, and at part throttle the driver's foot makes up the difference. Add two to each drive, only where road, law and car allow it.")
		return p
	}
	pressure, humidity, ok := meanWeather(drives)
	if !ok {
		warn(PowerNotKnown, "", "No power is told: no drive has an air pressure. Add pressure, or qnh and altitude, or altitude alone, to each drive of the campaign file.")
		return p
	}
	var err error
	if p.Outside, err = air.NewState(pressure, outside, humidity); err != nil {
		warn(PowerNotKnown, "", "No power is told: %v", err)
		return p
	}
	for _, d := range usable {
		w, err := compare.PowerOf(d, p.Outside)
		if err != nil {
			warn(PowerNotKnown, d.Stratum, "the change can't be turned into power: %v", err)
			continue
		}
		p.Worths = append(p.Worths, w)
	}
	return p
}

// meanWeather averages over the drives whose pressure is known. Air whose
// humidity nobody noted is taken as dry.
func meanWeather(drives []*drive.Drive) (quantity.Pressure, quantity.RelativeHumidity, bool) {
	var pressure, humidity, n, damp float64
	for _, d := range drives {
		if d.Weather.Pressure > 0 {
			pressure += float64(d.Weather.Pressure)
			n++
		}
		if d.Weather.HumidityKnown {
			humidity += float64(d.Weather.Humidity)
			damp++
		}
	}
	if n == 0 {
		return 0, 0, false
	}
	return quantity.Pressure(pressure / n), quantity.RelativeHumidity(humidity / max(damp, 1)), true
}

// String returns each worth in a few lines, or why there is none.
func (p Power) String() string {
	var lines []string
	for _, w := range p.Worths {
		lines = append(lines, strings.TrimRight(w.String(), "\n"))
	}
	return strings.Join(append(lines, estimate.Texts(p.Warnings)...), "\n")
}
