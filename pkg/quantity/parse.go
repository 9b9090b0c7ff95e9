package quantity

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// ErrSyntax is wrapped by the error of [Lookup] and of every Parse function:
// the text is not a number followed by a known unit.
var ErrSyntax = errors.New("not a quantity")

// Parse reads a quantity of the given kind as a person writes it, "82 degC" or
// "29.92 inHg", and returns its SI value and the unit that was written.
//
// A quantity is a decimal number with a decimal point, optional spaces, and a
// unit that must be there (a plain number has none):
//
//	quantity = number , [ spaces ] , unit ;
//	number   = [ "+" | "-" ] , digits , [ "." , digits ] , [ "e" , exponent ] ;
//
// Letter case matters in a unit only where it tells two apart (mW, MW). Spaces,
// "·", "." and "*" inside a unit mean a product and are ignored; "²", "^2" and
// "2" are the same.
//
// The value is NaN beside an error that wraps [ErrSyntax] where there is no
// usable number, or no unit, or one that is unknown or ambiguous. The error
// says what was found and what is allowed; where only the unit is missing, it
// suggests those that make the number plausible, but none is assumed. What no
// quantity of the kind can be is refused with an error that wraps
// [ErrOutOfRange]: a temperature below absolute zero, a relative humidity
// outside 0 % to 100 %, a negative absolute pressure.
func Parse(kind Kind, text string) (si float64, unit Unit, err error) {
	fail := func(why string) (float64, Unit, error) {
		return math.NaN(), Unit{}, parseError(kind, text, why, "")
	}
	number, rest := splitNumber(text)
	if number == "" {
		return fail("it does not begin with a number")
	}
	if strings.HasPrefix(rest, ",") {
		return fail("it has a comma; write numbers with a decimal point and nothing between thousands")
	}
	x, err := strconv.ParseFloat(strings.Replace(number, "−", "-", 1), 64)
	if err != nil || math.IsInf(x, 0) {
		return fail(fmt.Sprintf("%q is not a usable number", number))
	}
	if strings.TrimSpace(rest) == "" && kind != KindNumber {
		return math.NaN(), Unit{}, parseError(kind, text, "the unit is missing", suggestUnit(kind, x, number))
	}
	unit, why := lookup(kind, rest)
	if why != "" {
		return fail(why)
	}
	si = unit.ToSI(x)
	if math.IsInf(si, 0) {
		return fail(fmt.Sprintf("%q is not a usable number", number))
	}
	if err := possible(kind, text, si, unit); err != nil {
		return math.NaN(), Unit{}, err
	}
	return si, unit, nil
}

// possible refuses what no quantity of the kind can be: a temperature below
// absolute zero, a relative humidity outside 0 to 1, a negative absolute
// pressure.
func possible(kind Kind, text string, si float64, unit Unit) error {
	low, high, hint := math.Inf(-1), math.Inf(1), ""
	switch kind {
	case KindTemperature:
		low, hint = 0, "the lower end is absolute zero"
	case KindRelativeHumidity:
		low, high, hint = 0, 1, "it is a share of saturation, 0 % to 100 %"
	case KindPressure:
		low, hint = 0, "it is absolute"
	}
	const rounding = 1e-9
	if si >= low-rounding && si <= high+rounding {
		return nil
	}
	return OutOfRange("", fmt.Sprintf("%q: %v", text, kind), si, low, high, unit, hint)
}

func parseError(kind Kind, text, why, suggestion string) error {
	units := ""
	if list := kind.UnitList(); list != "" {
		units = fmt.Sprintf(" (units: %s)", list)
	}
	return fmt.Errorf("%q is %w (%s): %s; write for example %q%s%s", text, ErrSyntax, kind, why, kind.entry().example, units, suggestion)
}

// suggestUnit asks whether one of the units was meant that make a bare number
// plausible.
func suggestUnit(kind Kind, x float64, number string) string {
	var meant []string
	for _, u := range Plausible(kind, x) {
		meant = append(meant, fmt.Sprintf("%q", number+u.suffix()))
	}
	if len(meant) == 0 {
		return ""
	}
	return "; did you mean " + strings.Join(meant, " or ") + "?"
}

// Plausible returns the units that make the bare number x a usual quantity of
// its kind at a car and in the air: 760 is an air pressure in mmHg, 29.92 one
// in inHg, 82 a temperature in °C or in °F. It serves to suggest what was
// meant, never to decide. Empty where nothing is usual. Common practice, no
// source.
func Plausible(kind Kind, x float64) []Unit {
	e := kind.entry()
	for _, span := range e.plausible {
		var meant []Unit
		for _, symbol := range e.guesses {
			u := kind.Unit(symbol)
			if si := u.ToSI(x); si >= span[0] && si <= span[1] {
				meant = append(meant, u)
			}
		}
		if len(meant) > 0 {
			return meant
		}
	}
	return nil
}

// splitNumber cuts text after the longest leading decimal number.
func splitNumber(text string) (number, rest string) {
	text = strings.TrimSpace(text)
	i, digits := 0, 0
	if r := strings.TrimPrefix(text, "−"); r != text {
		i = len("−")
	} else if strings.HasPrefix(text, "+") || strings.HasPrefix(text, "-") {
		i = 1
	}
	for point := false; i < len(text); i++ {
		if text[i] == '.' && !point {
			point = true
			continue
		}
		if text[i] < '0' || text[i] > '9' {
			break
		}
		digits++
	}
	if digits == 0 {
		return "", text
	}
	if i < len(text) && (text[i] == 'e' || text[i] == 'E') {
		j := i + 1
		if j < len(text) && (text[j] == '+' || text[j] == '-') {
			j++
		}
		if k := j + len(text[j:]) - len(strings.TrimLeft(text[j:], "0123456789")); k > j {
			i = k
		}
	}
	return text[:i], text[i:]
}

// parseIn parses a quantity of one kind; NaN beside an error.
func parseIn[Q ~float64](kind Kind, text string) (Q, error) {
	x, _, err := Parse(kind, text)
	return Q(x), err
}

// ParseLength parses a length such as "79 mm" or "3.11 in".
// It fails as [Parse] does.
func ParseLength(text string) (Length, error) { return parseIn[Length](KindLength, text) }

// ParseArea parses an area such as "0.75 m2".
// It fails as [Parse] does.
func ParseArea(text string) (Area, error) { return parseIn[Area](KindArea, text) }

// ParseVolume parses a volume such as "1598 cm3", "1.6 L" or "97.5 cu in".
// It fails as [Parse] does.
func ParseVolume(text string) (Volume, error) { return parseIn[Volume](KindVolume, text) }

// ParseMass parses a mass such as "1050 kg".
// It fails as [Parse] does.
func ParseMass(text string) (Mass, error) { return parseIn[Mass](KindMass, text) }

// ParsePower parses a power such as "60 kW", "80 hp" (mechanical) or "82 PS"
// (metric). "bhp", "HP" and "CV" are refused with the choice, because they are
// used for both horsepowers and for more.
// It fails as [Parse] does.
func ParsePower(text string) (Power, error) { return parseIn[Power](KindPower, text) }

// ParseTorque parses a torque such as "122 N m", "12.4 kgf m" or "90 lbf ft".
// It fails as [Parse] does.
func ParseTorque(text string) (Torque, error) { return parseIn[Torque](KindTorque, text) }

// ParseRotationalSpeed parses a rotational speed such as "5500 rpm".
// It fails as [Parse] does.
func ParseRotationalSpeed(text string) (RotationalSpeed, error) {
	return parseIn[RotationalSpeed](KindRotationalSpeed, text)
}

// ParseSpeed parses a speed such as "80 km/h" or "50 mph".
// It fails as [Parse] does.
func ParseSpeed(text string) (Speed, error) { return parseIn[Speed](KindSpeed, text) }

// ParsePressure parses a pressure such as "1008 hPa" or "29.92 inHg".
// It fails as [Parse] does.
func ParsePressure(text string) (Pressure, error) { return parseIn[Pressure](KindPressure, text) }

// ParseDensity parses a density such as "1.2 kg/m3".
// It fails as [Parse] does.
func ParseDensity(text string) (Density, error) { return parseIn[Density](KindDensity, text) }

// ParseEnergy parses an energy such as "5 kJ".
// It fails as [Parse] does.
func ParseEnergy(text string) (Energy, error) { return parseIn[Energy](KindEnergy, text) }

// ParseForce parses a force such as "180 N".
// It fails as [Parse] does.
func ParseForce(text string) (Force, error) { return parseIn[Force](KindForce, text) }

// ParseAngle parses an angle such as "90 deg".
// It fails as [Parse] does.
func ParseAngle(text string) (Angle, error) { return parseIn[Angle](KindAngle, text) }

// ParseAcceleration parses an acceleration such as "1.2 m/s2".
// It fails as [Parse] does.
func ParseAcceleration(text string) (Acceleration, error) {
	return parseIn[Acceleration](KindAcceleration, text)
}

// ParseMassFlow parses a mass flow such as "40 g/s".
// It fails as [Parse] does.
func ParseMassFlow(text string) (MassFlow, error) { return parseIn[MassFlow](KindMassFlow, text) }

// ParseVolumeFlow parses a volume flow such as "60 L/s".
// It fails as [Parse] does.
func ParseVolumeFlow(text string) (VolumeFlow, error) {
	return parseIn[VolumeFlow](KindVolumeFlow, text)
}

// ParseRelativeHumidity parses a relative humidity such as "55 %".
// It fails as [Parse] does.
func ParseRelativeHumidity(text string) (RelativeHumidity, error) {
	return parseIn[RelativeHumidity](KindRelativeHumidity, text)
}

// ParseTemperature parses a temperature such as "82 degC", "180 °F" or
// "355 K". The result of an error is an invalid temperature of NaN kelvin.
// It fails as [Parse] does.
func ParseTemperature(text string) (Temperature, error) {
	x, _, err := Parse(KindTemperature, text)
	return Kelvin(x), err
}

// ParseTemperatureDifference parses a difference of temperatures such as
// "30 K" or "54 degF". The 32 of the Fahrenheit scale is not applied.
// It fails as [Parse] does.
func ParseTemperatureDifference(text string) (TemperatureDifference, error) {
	return parseIn[TemperatureDifference](KindTemperatureDifference, text)
}
