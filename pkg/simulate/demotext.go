package simulate

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

const campaignHead = `# The demo campaign: an invented 1.6-litre saloon of the early seventies on an
# invented valley road. Its files are simulated (package simulate, seed in
# truth.toml). Copy this file to start your own.

[car]
name = "demo saloon"
mass = "1120 kg"

[engine]
displacement = "1598 cm3"
cylinders = 4
bore = "79 mm"
stroke = "81.5 mm"
compression-ratio = 9.0
rated-power = "60 kW"
rated-power-speed = "5500 rpm"
rated-torque = "122 N m"
rated-torque-speed = "3200 rpm"
redline = "6200 rpm"
carburettor = "constant-depression"
carburettors = 1
thermostat = "82 degC"

[[configuration]]
name = "open filters"
note = "two open filters that draw from the engine bay"

[[configuration]]
name = "cold-air duct"
note = "one filter box behind the grille and a hose to the carburettor"

[[device]]
name = "logger A"
time-zone = "+02:00"
[device.channels]
T1 = "ambient"
T2 = "intake"
T3 = "engine-bay"
T4 = "top-tank"

[[device]]
name = "logger B"
time-zone = "+02:00"
[device.channels]
K1 = "intake"
K2 = "bottom-tank"
K3 = "radiator-air"

[[device]]
name = "phone"
[device.channels]
speed = "speed"
latitude = "latitude"
longitude = "longitude"
altitude = "altitude"
`

func campaignText(drives []*DemoDrive) string {
	var b strings.Builder
	b.WriteString(campaignHead)
	for _, d := range drives {
		fmt.Fprintf(&b, "\n[[drive]]\nname = %q\nconfiguration = %q\npressure = \"%.1f hPa\"\nhumidity = \"%.0f %%\"\n",
			d.Name, d.Intake.Name, d.Pressure/100, d.Humidity*100)
		for _, f := range []struct {
			end, device string
			late        float64 // s, what the clock is wrong by
		}{{"-phone.csv", "phone", 0}, {"-logger-a.csv", "logger A", d.A.ClockOffset}, {"-logger-b.txt", "logger B", d.B.ClockOffset}} {
			fmt.Fprintf(&b, "[[drive.file]]\npath = %q\ndevice = %q\n", d.Stem+f.end, f.device)
			if d.ClocksStated {
				fmt.Fprintf(&b, "clock-offset = \"%.1f s\"\n", -f.late)
			}
		}
	}
	return b.String()
}

// truthText writes what no analysis may read: the answers.
func truthText(seed uint64, drives []*DemoDrive) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# The truth of the demo, for checking an analysis; made by package simulate.\nseed = %d\n", seed)
	for _, d := range drives {
		h := d.History
		fmt.Fprintf(&b, "\n[[drive]]\nname = %q\nstart = %s\nthermostat-opens-s = %.1f\n", d.Name, d.Start.Format("2006-01-02T15:04:05-07:00"), h.Opening)
		fmt.Fprintf(&b, "coolant-at-opening-degC = %.2f\n", quantity.Kelvin(h.Coolant[int(h.Opening)]).Celsius())
		fmt.Fprintf(&b, "clock-offset-logger-a-s = %.1f\nclock-offset-logger-b-s = %.1f\n", d.A.ClockOffset, d.B.ClockOffset)
		fmt.Fprintf(&b, "channel-offsets-logger-a-K = %s\nchannel-offsets-logger-b-K = %s\n", numbers(d.A.Offsets), numbers(d.B.Offsets))
		for _, band := range riseBands {
			fmt.Fprintf(&b, "mean-rise-%s-K = %s\n", band.name, number(h.MeanRise(band.from, band.to)))
		}
		fmt.Fprintf(&b, "mean-rise-full-throttle-K = %s\n", number(h.meanRise(h.fullThrottle)))
	}
	return b.String()
}

var riseBands = []struct {
	name     string
	from, to float64 // m/s
}{
	{"standing", 0, 1 * kmh}, {"below-50-kmh", 1 * kmh, 50 * kmh},
	{"50-to-85-kmh", 50 * kmh, 85 * kmh}, {"above-85-kmh", 85 * kmh, math.Inf(1)},
}

// MeanRise returns the mean of intake minus ambient in kelvin over the seconds
// with a speed in [from, to) m/s, engine running, at least 300 s after the
// thermostat opened; NaN if there are none.
func (h *History) MeanRise(from, to float64) float64 {
	return h.meanRise(func(i int) bool { return from <= h.Speed[i] && h.Speed[i] < to })
}

func (h *History) meanRise(keep func(i int) bool) float64 {
	sum, n := 0.0, 0
	for i := range h.Intake {
		if h.Running[i] && float64(i) >= h.Opening+300 && keep(i) {
			sum += h.Intake[i] - h.Ambient[i]
			n++
		}
	}
	return sum / float64(n)
}

// fullThrottle reports whether the car pulls hard: over 90 % of the wheel
// power that it has.
func (h *History) fullThrottle(i int) bool {
	c := DemoCar()
	return h.FuelPower[i] > c.IdleFuelPower+0.9*c.MaxPower/c.BrakeEfficiency
}

func number(x float64) string {
	if math.IsNaN(x) {
		return "nan"
	}
	return fmt.Sprintf("%.2f", x)
}

func numbers(x []float64) string {
	s := make([]string, len(x))
	for i, v := range x {
		s[i] = number(v)
	}
	return "[" + strings.Join(s, ", ") + "]"
}
