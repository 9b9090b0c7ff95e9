package engine

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// AutoignitionDelay returns the ignition delay of a petrol–air mixture in
// seconds.
//
//	τ = 17.68 ms·(ON/100)^3.402·(p/atm)^−1.7·exp(3800 K/T)
//
// octane is the octane number, p and t are the unburned mixture's. Valid for
// octane numbers 80 to 100 (fitted), 5 to 100 atm and 600 K to 1200 K;
// otherwise NaN and an error that wraps [ErrOutOfRange]. It is used to compare
// two states; single values can be wrong by a factor.
//
// Source: Douaud and Eyzat, SAE 780080 (1978); constants as two public engine models
// have them, the paper itself was not seen.
func AutoignitionDelay(octane float64, p quantity.Pressure, t quantity.Temperature) (float64, error) {
	atm := p.StandardAtmospheres()
	switch {
	case !(octane >= 60 && octane <= 120):
		return math.NaN(), rangeError("AutoignitionDelay", "octane number", octane, 60, 120, plain, "")
	case !(atm >= 5 && atm <= 100):
		return math.NaN(), rangeError("AutoignitionDelay", "pressure", float64(p), 5*float64(quantity.StandardAtmosphere), 100*float64(quantity.StandardAtmosphere), quantity.KindPressure.Unit("atm"), "")
	case !(t.Kelvin() >= 600 && t.Kelvin() <= 1200):
		return math.NaN(), rangeError("AutoignitionDelay", "temperature", t.Kelvin(), 600, 1200, quantity.KindTemperature.SI(), "")
	}
	return 17.68e-3 * math.Pow(octane/100, 3.402) * math.Pow(atm, -1.7) * math.Exp(3800/t.Kelvin()), nil
}

// LivengoodWu returns the integral ∫dt/τ by the trapezoidal rule over a
// history of the unburned mixture: knock is expected where it reaches 1.
// Times in seconds ascending, pressures and temperatures as many. States in
// which the delay is outside its range because the mixture is still cold or
// thin count as no progress. It fails for histories of different lengths or
// fewer than two states, and, wrapping [ErrOutOfRange], where times do not
// ascend or a state is beyond the delay's range.
//
// Source: Livengood and Wu, Fifth Symposium on Combustion (1955) 347–356.
func LivengoodWu(octane float64, time []float64, p []quantity.Pressure, t []quantity.Temperature) (float64, error) {
	if len(time) != len(p) || len(p) != len(t) || len(time) < 2 {
		return math.NaN(), fmt.Errorf("engine.LivengoodWu: %d times, %d pressures, %d temperatures: want as many, at least two", len(time), len(p), len(t))
	}
	sum, last := 0.0, 0.0
	for i := range time {
		rate := 0.0
		if !(p[i] > 0 && t[i].IsValid()) {
			return math.NaN(), rangeError("LivengoodWu", fmt.Sprintf("state number %d, pressure at %v,", i+1, t[i]), float64(p[i]), 0, math.Inf(1), quantity.KindPressure.Shown(), "")
		}
		if p[i].StandardAtmospheres() >= 5 && t[i].Kelvin() >= 600 {
			delay, err := AutoignitionDelay(octane, p[i], t[i])
			if err != nil {
				return math.NaN(), err
			}
			rate = 1 / delay
		}
		if i > 0 {
			if !(time[i] > time[i-1] && !math.IsInf(time[i]-time[i-1], 0)) {
				return math.NaN(), rangeError("LivengoodWu", fmt.Sprintf("time number %d,", i+1), time[i], time[i-1], math.Inf(1), quantity.KindDuration.SI(), "times must ascend")
			}
			sum += (rate + last) / 2 * (time[i] - time[i-1])
		}
		last = rate
	}
	return sum, nil
}
