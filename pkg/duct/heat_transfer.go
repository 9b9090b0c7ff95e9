package duct

import "math"

// DittusBoelter returns the Nusselt number of fully turbulent flow in a smooth
// pipe.
//
//	Nu = 0.023·Re^0.8·Pr^n, n = 0.4 if the air is heated, 0.3 if cooled
//
// Valid for Re ≥ 1e4, 0.7 ≤ Pr ≤ 160 and length over ten diameters; otherwise
// NaN and an error that wraps [ErrOutOfRange].
//
// Source: McAdams' form, Incropera and DeWitt, equation (8.60).
func DittusBoelter(re, pr float64, heated bool) (float64, error) {
	if !(re >= 1e4 && re <= 1e8) {
		return math.NaN(), rangeError("DittusBoelter", "Reynolds number", re, 1e4, 1e8, plain, "")
	}
	if !(pr >= 0.7 && pr <= 160) {
		return math.NaN(), rangeError("DittusBoelter", "Prandtl number", pr, 0.7, 160, plain, "")
	}
	n := 0.3
	if heated {
		n = 0.4
	}
	return 0.023 * math.Pow(re, 0.8) * math.Pow(pr, n), nil
}

// Gnielinski returns the Nusselt number of transitional and turbulent flow.
//
//	Nu = (f/8)(Re − 1000)·Pr/[1 + 12.7·√(f/8)·(Pr^⅔ − 1)]
//
// f is the Darcy friction factor. Valid for 3000 ≤ Re ≤ 5e6 and
// 0.5 ≤ Pr ≤ 2000; otherwise NaN and an error that wraps [ErrOutOfRange].
//
// Source: Gnielinski, Int. Chem. Eng. 16 (1976) 359–368.
func Gnielinski(re, pr, f float64) (float64, error) {
	if !(re >= 3000 && re <= 5e6) {
		return math.NaN(), rangeError("Gnielinski", "Reynolds number", re, 3000, 5e6, plain, "")
	}
	if !(pr >= 0.5 && pr <= 2000) {
		return math.NaN(), rangeError("Gnielinski", "Prandtl number", pr, 0.5, 2000, plain, "")
	}
	if !(f > 0 && f <= 0.2) {
		return math.NaN(), rangeError("Gnielinski", "friction factor", f, 0, 0.2, plain, "")
	}
	return gnielinski(re, pr, f), nil
}

func gnielinski(re, pr, f float64) float64 {
	return f / 8 * (re - 1000) * pr / (1 + 12.7*math.Sqrt(f/8)*(math.Cbrt(pr*pr)-1))
}

// nusselt joins the laminar value for constant wall temperature, 3.66
// (Incropera and DeWitt, equation (8.55)), and Gnielinski's by a straight line.
func nusselt(re, pr, f float64) float64 {
	switch {
	case re < laminarEnd:
		return 3.66
	case re < turbulentBegin:
		w := (re - laminarEnd) / (turbulentBegin - laminarEnd)
		return (1-w)*3.66 + w*gnielinski(turbulentBegin, pr, f)
	}
	return gnielinski(re, pr, f)
}

// pickUp returns the outlet temperature in K of air that passes a pipe through
// surroundings of constant temperature.
//
//	T_out = T_s − (T_s − T_in)·e^(−NTU), NTU = U·A/(ṁ·c_p)
//
// Source: Incropera and DeWitt, equation (8.45b); the heat exchanger of
// effectiveness 1 − e^(−NTU).
func pickUp(inlet, surroundings, ntu float64) float64 {
	return surroundings - (surroundings-inlet)*math.Exp(-ntu)
}
