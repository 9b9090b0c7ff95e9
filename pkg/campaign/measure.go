package campaign

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// unit turns a number in a unit into SI: x·factor + offset.
type unit struct {
	factor, offset float64
}

// measure is a kind of quantity as people write it: its name, an example, and
// the units that are understood. The first spelling of names is shown.
type measure struct {
	name    string
	example string
	names   []string // preferred spellings, in the order they are shown
	units   map[string]unit
	hint    map[string]string // spellings that are refused, and why
}

// measureOf builds a measure from lines "spelling|spelling" with a unit.
func measureOf(name, example string, hint map[string]string, pairs ...any) *measure {
	m := &measure{name: name, example: example, units: map[string]unit{}, hint: hint}
	for i := 0; i < len(pairs); i += 2 {
		u, isUnit := pairs[i+1].(unit)
		if !isUnit {
			u = unit{factor: pairs[i+1].(float64)}
		}
		spellings := strings.Split(pairs[i].(string), "|")
		m.names = append(m.names, spellings[0])
		for _, s := range spellings {
			m.units[s] = u
		}
	}
	return m
}

// Factors come from package quantity, which names their source.
var (
	massKind = measureOf("mass", "1050 kg", nil,
		"kg", float64(quantity.Kilogram), "t", 1000.0, "lb|lbs", float64(quantity.Pound))
	lengthKind = measureOf("length", "79 mm", nil,
		"mm", 1e-3, "cm", 1e-2, "m", 1.0, "km", 1e3,
		"in|inch|\"", float64(quantity.Inch), "ft", float64(quantity.Foot))
	areaKind = measureOf("area", "0.75 m2", nil,
		"m2|m²", 1.0, "cm2|cm²", 1e-4, "ft2|ft²", float64(quantity.Foot*quantity.Foot))
	volumeKind = measureOf("volume", "1598 cm3", nil,
		"cm3|cm³|cc|ccm|ml", 1e-6, "l|L|litre", 1e-3, "in3|in³|cu in|cui", float64(quantity.CubicInch))
	powerKind = measureOf("power", "60 kW",
		map[string]string{"bhp": "say which: hp is mechanical horsepower, 745.7 W; PS is metric, 735.5 W"},
		"kW", 1e3, "W", 1.0, "hp", float64(quantity.MechanicalHorsepower), "PS|cv|ch|pk", float64(quantity.MetricHorsepower))
	torqueKind = measureOf("torque", "122 N m", nil,
		"N m|Nm|N·m", 1.0, "lbf ft|lb ft|ft lb|ft lbf|lbft", float64(quantity.PoundForceFoot), "kgf m|kg m|mkg|kgm", float64(quantity.KilogramForceMetre))
	rotationKind = measureOf("rotational speed", "5500 rpm", nil,
		"rpm|1/min|min-1|/min|r/min|U/min", 1.0/60, "1/s|Hz", 1.0)
	temperatureKind = measureOf("temperature", "82 degC", nil,
		"degC|°C|C", unit{1, 273.15}, "degF|°F|F", unit{5.0 / 9, 273.15 - 32*5.0/9}, "K", 1.0)
	differenceKind = measureOf("temperature difference", "-0.6 K", nil,
		"K|degC|°C", 1.0, "degF|°F", 5.0/9)
	pressureKind = measureOf("pressure", "1008 hPa", nil,
		"hPa|mbar|mb", 100.0, "kPa", 1e3, "Pa", 1.0, "bar", 1e5,
		"inHg", float64(quantity.InchOfMercury), "mmHg|Torr", 133.322)
	humidityKind = measureOf("relative humidity", "55 %", nil, "%|% RH|%RH", 0.01)
	durationKind = measureOf("duration", "12.5 s", nil,
		"s|sec", 1.0, "min", 60.0, "h", 3600.0, "d|day|days", 86400.0, "ms", 1e-3)
	driftKind = measureOf("clock drift", "1.7 s/day",
		map[string]string{"%": "write parts per million, ppm"},
		"s/day|s/d", 1.0/86400, "ppm", 1e-6)
	percentKind = measureOf("share", "12 %", nil, "%", 0.01)
)

var number = regexp.MustCompile(`^\s*([+\-−]?[0-9]*\.?[0-9]+(?:[eE][+\-]?[0-9]+)?)\s*(.*?)\s*$`)
var commaNumber = regexp.MustCompile(`^\s*[+\-−]?[0-9]+,[0-9]+`)

func (m *measure) unitList() string { return strings.Join(m.names, ", ") }

// parse reads "1050 kg" and returns the value in SI and the unit as written.
func (m *measure) parse(s string) (x float64, written string, err error) {
	if commaNumber.MatchString(s) {
		return math.NaN(), "", fmt.Errorf("%q has a comma; write numbers with a decimal point and no separators between thousands, for example %q", s, m.example)
	}
	parts := number.FindStringSubmatch(s)
	if parts == nil {
		return math.NaN(), "", fmt.Errorf("%q is not a %s; write a number with its unit, for example %q (units: %s)", s, m.name, m.example, m.unitList())
	}
	x, err = strconv.ParseFloat(strings.Replace(parts[1], "−", "-", 1), 64)
	if err != nil {
		return math.NaN(), "", fmt.Errorf("%q is not a usable number", parts[1])
	}
	written = strings.Join(strings.Fields(parts[2]), " ")
	if written == "" {
		return math.NaN(), "", fmt.Errorf("%q has no unit; write for example %q (units: %s)", s, m.example, m.unitList())
	}
	u, ok := m.units[written]
	if !ok {
		for spelling, candidate := range m.units {
			if strings.EqualFold(spelling, written) {
				u, ok = candidate, true
			}
		}
	}
	if !ok {
		why := m.hint[written]
		if why != "" {
			why = "; " + why
		}
		return math.NaN(), "", fmt.Errorf("%q: %q is not a unit of %s%s; units are %s", s, written, m.name, why, m.unitList())
	}
	return x*u.factor + u.offset, written, nil
}

// format writes an SI value in the unit that the user chose.
func (m *measure) format(x float64, written string) string {
	u, ok := m.units[written]
	if !ok {
		written = m.names[0]
		u = m.units[written]
	}
	return fmt.Sprintf("%.5g %s", (x-u.offset)/u.factor, written)
}
