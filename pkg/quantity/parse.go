package quantity

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// ErrSyntax is wrapped by the error of every Parse function: the text is not
// a number followed by a known unit.
var ErrSyntax = errors.New("not a quantity")

// A quantity is written as a decimal number with a decimal point, optional
// spaces, and a unit that must be there:
//
//	quantity = number , [ spaces ] , unit ;
//	number   = [ "+" | "-" ] , digits , [ "." , digits ] , [ "e" , exponent ] ;
//
// Letter case matters in a unit, because mW and MW differ by 10⁹. Spaces, "·",
// "." and "*" inside a unit mean a product and are ignored; "²", "^2" and "2"
// are the same.
type unitTable struct {
	what    string             // "power"
	example string             // "60 kW"
	units   map[string]float64 // normalised spelling to SI factor
	refused map[string]string  // spellings that are ambiguous, with what to write
}

var unitSpelling = strings.NewReplacer(
	"·", "", "⋅", "", "*", "", " ", "", "\u00a0", "",
	"²", "2", "³", "3", "^", "", "⁻¹", "-1", "°", "deg", "º", "deg")

func (u *unitTable) parse(text string) (value float64, unit string, err error) {
	number, rest := splitNumber(text)
	if number == "" {
		return math.NaN(), "", u.fail(text, "it does not begin with a number")
	}
	if strings.HasPrefix(rest, ",") {
		return math.NaN(), "", u.fail(text, "it has a comma; write numbers with a decimal point and nothing between thousands")
	}
	x, err := strconv.ParseFloat(strings.Replace(number, "−", "-", 1), 64)
	if err != nil || math.IsInf(x, 0) {
		return math.NaN(), "", u.fail(text, fmt.Sprintf("%q is not a usable number", number))
	}
	unit = unitSpelling.Replace(strings.TrimSpace(rest))
	if unit == "" {
		return math.NaN(), "", u.fail(text, "the unit is missing")
	}
	if why := u.refused[unit]; why != "" {
		return math.NaN(), "", u.fail(text, why)
	}
	factor, ok := u.units[unit]
	if !ok {
		return math.NaN(), "", u.fail(text, fmt.Sprintf("%q is no unit of %s that is known here", strings.TrimSpace(rest), u.what))
	}
	return x * factor, unit, nil
}

func (u *unitTable) fail(text, why string) error {
	known := make([]string, 0, len(u.units))
	for name := range u.units {
		known = append(known, name)
	}
	slices.Sort(known)
	return fmt.Errorf("%q is %w (%s): %s; write for example %q (units: %s)",
		text, ErrSyntax, u.what, why, u.example, strings.Join(known, ", "))
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

var horsepowerRefused = map[string]string{
	"bhp": "bhp says how power was measured, not its unit; write hp (mechanical, 745.7 W) or PS (metric, 735.5 W)",
	"HP":  "write hp (mechanical, 745.7 W) or PS (metric, 735.5 W)",
	"CV":  "write PS (metric, 735.5 W) for the unit of power; a tax rating is no power",
}

var (
	lengthUnits = unitTable{what: "length", example: "79 mm", units: map[string]float64{
		"mm": float64(Millimetre), "cm": float64(Centimetre), "m": 1, "km": float64(Kilometre),
		"in": float64(Inch), "inch": float64(Inch), "ft": float64(Foot), "mi": float64(Mile), "mile": float64(Mile)}}
	areaUnits = unitTable{what: "area", example: "0.75 m2", units: map[string]float64{
		"mm2": float64(SquareMillimetre), "cm2": float64(SquareCentimetre), "m2": 1,
		"in2": float64(Inch * Inch), "ft2": float64(Foot * Foot)}}
	volumeUnits = unitTable{what: "volume", example: "1598 cm3", units: map[string]float64{
		"cm3": float64(CubicCentimetre), "cc": float64(CubicCentimetre), "ccm": float64(CubicCentimetre),
		"ml": 1e-6, "mL": 1e-6, "l": float64(Litre), "L": float64(Litre), "litre": float64(Litre), "m3": 1,
		"in3": float64(CubicInch), "cuin": float64(CubicInch), "cui": float64(CubicInch)}}
	massUnits = unitTable{what: "mass", example: "1050 kg", units: map[string]float64{
		"g": float64(Gram), "kg": 1, "t": 1000, "lb": float64(Pound), "lbs": float64(Pound)}}
	powerUnits = unitTable{what: "power", example: "60 kW", refused: horsepowerRefused, units: map[string]float64{
		"W": 1, "kW": float64(Kilowatt), "hp": float64(MechanicalHorsepower),
		"PS": float64(MetricHorsepower), "ch": float64(MetricHorsepower), "pk": float64(MetricHorsepower), "cv": float64(MetricHorsepower)}}
	torqueUnits = unitTable{what: "torque", example: "122 N m", units: map[string]float64{
		"Nm": 1, "kgfm": float64(KilogramForceMetre), "kpm": float64(KilogramForceMetre), "mkg": float64(KilogramForceMetre), "kgm": float64(KilogramForceMetre),
		"lbfft": float64(PoundForceFoot), "lbft": float64(PoundForceFoot), "ftlb": float64(PoundForceFoot), "ftlbf": float64(PoundForceFoot)}}
	rotationUnits = unitTable{what: "rotational speed", example: "5500 rpm", units: map[string]float64{
		"rpm": float64(RevolutionPerMinute), "1/min": float64(RevolutionPerMinute), "/min": float64(RevolutionPerMinute),
		"min-1": float64(RevolutionPerMinute), "r/min": float64(RevolutionPerMinute), "U/min": float64(RevolutionPerMinute),
		"1/s": 1, "Hz": 1}}
	speedUnits = unitTable{what: "speed", example: "80 km/h", units: map[string]float64{
		"m/s": 1, "km/h": float64(KilometrePerHour), "kmh": float64(KilometrePerHour), "kph": float64(KilometrePerHour),
		"mph": float64(MilePerHour), "mi/h": float64(MilePerHour), "kn": float64(Knot), "kt": float64(Knot)}}
	pressureUnits = unitTable{what: "pressure", example: "1008 hPa", units: map[string]float64{
		"Pa": 1, "hPa": float64(Hectopascal), "mbar": float64(Hectopascal), "mb": float64(Hectopascal),
		"kPa": float64(Kilopascal), "bar": float64(Bar), "MPa": float64(Megapascal), "atm": float64(StandardAtmosphere),
		"inHg": float64(InchOfMercury), "mmHg": float64(StandardAtmosphere) / 760, "Torr": float64(StandardAtmosphere) / 760,
		"psi": float64(PoundPerSquareInch), "mmH2O": 9.80665, "inH2O": 249.08891}}
	densityUnits = unitTable{what: "density", example: "1.2 kg/m3", units: map[string]float64{
		"kg/m3": 1, "g/l": 1, "g/L": 1, "g/cm3": 1000}}
	energyUnits = unitTable{what: "energy", example: "5 kJ", units: map[string]float64{
		"J": 1, "kJ": float64(Kilojoule), "MJ": float64(Megajoule), "kWh": float64(KilowattHour), "Wh": 3600}}
	forceUnits = unitTable{what: "force", example: "180 N", units: map[string]float64{
		"N": 1, "kN": float64(Kilonewton), "kgf": 9.80665, "kp": 9.80665, "lbf": 4.4482216152605}}
	angleUnits = unitTable{what: "angle", example: "90 deg", units: map[string]float64{
		"rad": 1, "deg": float64(Degree)}}
	accelerationUnits = unitTable{what: "acceleration", example: "1.2 m/s2", units: map[string]float64{
		"m/s2": 1, "g": float64(StandardGravity)}}
	massFlowUnits = unitTable{what: "mass flow", example: "40 g/s", units: map[string]float64{
		"kg/s": 1, "g/s": float64(GramPerSecond), "kg/h": float64(KilogramPerHour)}}
	volumeFlowUnits = unitTable{what: "volume flow", example: "60 L/s", units: map[string]float64{
		"m3/s": 1, "l/s": float64(LitrePerSecond), "L/s": float64(LitrePerSecond), "m3/h": float64(CubicMetrePerHour),
		"cfm": 0.3048 * 0.3048 * 0.3048 / 60, "ft3/min": 0.3048 * 0.3048 * 0.3048 / 60}}
	humidityUnits = unitTable{what: "relative humidity", example: "55 %", units: map[string]float64{
		"%": float64(PercentHumidity), "%RH": float64(PercentHumidity), "%rh": float64(PercentHumidity)}}
	temperatureUnits = unitTable{what: "temperature", example: "82 degC", units: map[string]float64{
		"degC": 1, "C": 1, "degF": 1 / 1.8, "F": 1 / 1.8, "K": 1}}
	differenceUnits = unitTable{what: "temperature difference", example: "30 K", units: map[string]float64{
		"K": 1, "degC": 1, "C": 1, "degF": 1 / 1.8, "F": 1 / 1.8}}
)

// parseIn parses text with the units of one table; NaN beside an error.
func parseIn[Q ~float64](u *unitTable, text string) (Q, error) {
	x, _, err := u.parse(text)
	return Q(x), err
}

// ParseLength parses a length such as "79 mm" or "3.11 in".
func ParseLength(text string) (Length, error) { return parseIn[Length](&lengthUnits, text) }

// ParseArea parses an area such as "0.75 m2".
func ParseArea(text string) (Area, error) { return parseIn[Area](&areaUnits, text) }

// ParseVolume parses a volume such as "1598 cm3", "1.6 L" or "97.5 cu in".
func ParseVolume(text string) (Volume, error) { return parseIn[Volume](&volumeUnits, text) }

// ParseMass parses a mass such as "1050 kg".
func ParseMass(text string) (Mass, error) { return parseIn[Mass](&massUnits, text) }

// ParsePower parses a power such as "60 kW", "80 hp" (mechanical) or "82 PS"
// (metric). "bhp" is refused, because it is used for both horsepowers.
func ParsePower(text string) (Power, error) { return parseIn[Power](&powerUnits, text) }

// ParseTorque parses a torque such as "122 N m", "12.4 kgf m" or "90 lbf ft".
func ParseTorque(text string) (Torque, error) { return parseIn[Torque](&torqueUnits, text) }

// ParseRotationalSpeed parses a rotational speed such as "5500 rpm".
func ParseRotationalSpeed(text string) (RotationalSpeed, error) {
	return parseIn[RotationalSpeed](&rotationUnits, text)
}

// ParseSpeed parses a speed such as "80 km/h" or "50 mph".
func ParseSpeed(text string) (Speed, error) { return parseIn[Speed](&speedUnits, text) }

// ParsePressure parses a pressure such as "1008 hPa" or "29.92 inHg".
func ParsePressure(text string) (Pressure, error) { return parseIn[Pressure](&pressureUnits, text) }

// ParseDensity parses a density such as "1.2 kg/m3".
func ParseDensity(text string) (Density, error) { return parseIn[Density](&densityUnits, text) }

// ParseEnergy parses an energy such as "5 kJ".
func ParseEnergy(text string) (Energy, error) { return parseIn[Energy](&energyUnits, text) }

// ParseForce parses a force such as "180 N".
func ParseForce(text string) (Force, error) { return parseIn[Force](&forceUnits, text) }

// ParseAngle parses an angle such as "90 deg".
func ParseAngle(text string) (Angle, error) { return parseIn[Angle](&angleUnits, text) }

// ParseAcceleration parses an acceleration such as "1.2 m/s2".
func ParseAcceleration(text string) (Acceleration, error) {
	return parseIn[Acceleration](&accelerationUnits, text)
}

// ParseMassFlow parses a mass flow such as "40 g/s".
func ParseMassFlow(text string) (MassFlow, error) { return parseIn[MassFlow](&massFlowUnits, text) }

// ParseVolumeFlow parses a volume flow such as "60 L/s".
func ParseVolumeFlow(text string) (VolumeFlow, error) {
	return parseIn[VolumeFlow](&volumeFlowUnits, text)
}

// ParseRelativeHumidity parses a relative humidity such as "55 %".
func ParseRelativeHumidity(text string) (RelativeHumidity, error) {
	return parseIn[RelativeHumidity](&humidityUnits, text)
}

// ParseTemperature parses a temperature such as "82 degC", "180 °F" or
// "355 K". The result of an error is an invalid temperature of NaN kelvin.
func ParseTemperature(text string) (Temperature, error) {
	x, unit, err := temperatureUnits.parse(text)
	if err != nil {
		return Kelvin(math.NaN()), err
	}
	switch unit {
	case "degC", "C":
		return Celsius(x), nil
	case "degF", "F":
		return Fahrenheit(x * 1.8), nil
	}
	return Kelvin(x), nil
}

// ParseTemperatureDifference parses a difference of temperatures such as
// "30 K" or "54 degF". The 32 of the Fahrenheit scale is not applied.
func ParseTemperatureDifference(text string) (TemperatureDifference, error) {
	return parseIn[TemperatureDifference](&differenceUnits, text)
}
