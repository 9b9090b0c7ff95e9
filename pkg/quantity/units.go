package quantity

// entry is what is known of one kind of quantity.
type entry struct {
	name    string
	example string // as a person can type it
	units   []row  // the one that is shown first
	// refused spellings, with what to write instead.
	refused map[string]string
	// plausible spans in SI, the likelier first, and the units that people
	// leave out; they only serve to suggest what was meant.
	plausible [][2]float64
	guesses   []string
}

// row is one unit with all its spellings. They are compared without spaces,
// points and signs of multiplication, and °, ², µ have their usual
// substitutes; see normal. Letter case counts only where it tells two units
// apart.
type row struct {
	symbol string
	// (x − shift)·factor/per + offset is SI; 0 is 1 for factor and per.
	factor, per, shift, offset float64
	// spellings anywhere: behind a number, in the header of a file, alone.
	spellings string
	// behind a number only: in a header they are words of their own ("in").
	behind string
	// damaged spellings come from files whose encoding was lost on the way.
	damaged string
}

// coherent tells a unit that needs no factor: SI's own.
func (r *row) coherent() bool {
	return r.factor == 0 && r.per == 0 && r.shift == 0 && r.offset == 0
}

func (r *row) unit(k Kind) Unit {
	return Unit{k, r.symbol, r.factor, r.per, r.shift, r.offset}
}

// Defined values that the factors below are made of: the pound and the foot
// of the international agreement of 1959 (NIST SP 811, appendix B.6), the
// standard acceleration (3rd CGPM, 1901), and the density of mercury that the
// conventional millimetre of mercury is defined with (NIST SP 811, B.8,
// footnote 12).
const (
	foot           = 0.3048
	inch           = 0.0254
	poundForce     = float64(Pound) * float64(StandardGravity)
	mercuryDensity = 13595.1 // kg/m³
	minute         = 60
	hour           = 3600
	day            = 86400
	fraction       = "fraction" // how a fraction of a whole is written where it needs a word
)

// table is the one table of units and their spellings, by kind. Factors: the
// BIPM SI brochure, 9th edition (2019), tables 4 and 8, and NIST SP 811
// (2008), appendix B.8; they are exact unless a line says otherwise.
//
// Horsepower is decided here for everybody. "hp" is the mechanical and "PS",
// "ch", "pk", "cv" the metric horsepower, as the table of NIST has them. "HP"
// and "bhp" stand in handbooks of cars for either (a continental "HP (DIN)" is
// the metric one, and "brake" says how it was measured), 1.4 % apart, so that
// both are refused with the choice; "CV" in capitals is a tax rating, too.
var table = [...]entry{
	KindNumber: {name: "dimensionless", example: "1.2", units: []row{{}}},
	KindTemperature: {name: "temperature", example: "82 degC",
		plausible: [][2]float64{{243, 393.5}, {200, 1400}}, guesses: []string{"°C", "°F", "K"},
		units: []row{
			{symbol: "°C", offset: zeroCelsius,
				spellings: "°C|C|degreeC|degreesC|celsius|degcelsius|degreecelsius|degreescelsius|gradC|grdC|centigrade", damaged: "?C|\ufffdC|oC"},
			{symbol: "°F", per: 1.8, shift: 32, offset: zeroCelsius,
				spellings: "°F|F|degreeF|degreesF|fahrenheit|degfahrenheit|degreefahrenheit|degreesfahrenheit", damaged: "?F|\ufffdF"},
			{symbol: "K", spellings: "K|kelvin"},
		}},
	KindTemperatureDifference: {name: "temperature difference", example: "30 K",
		plausible: [][2]float64{{-200, 200}}, guesses: []string{"K", "°F"},
		units: []row{
			{symbol: "K", spellings: "K|kelvin"},
			{symbol: "°C", spellings: "°C|C|degreeC|degreesC|celsius|gradC", damaged: "?C|\ufffdC|oC"},
			{symbol: "°F", per: 1.8, spellings: "°F|F|degreeF|degreesF|fahrenheit", damaged: "?F|\ufffdF"},
		}},
	KindSpeed: {name: "speed", example: "80 km/h",
		plausible: [][2]float64{{0.5, 70}}, guesses: []string{"km/h", "mph", "m/s"},
		units: []row{
			{symbol: "km/h", factor: float64(KilometrePerHour), spellings: "km/h|kmh|kph|kmph|km/hr|kmh-1"},
			{symbol: "m/s", spellings: "m/s|mps|ms-1|m/sec|meters/second|metres/second"},
			{symbol: "mph", factor: float64(MilePerHour), spellings: "mph|mi/h|miles/h|miles/hour"},
			{symbol: "kn", factor: float64(Knot), spellings: "kn|kt|kts|knot|knots"},
		}},
	KindAcceleration: {name: "acceleration", example: "1.2 m/s2",
		units: []row{
			{symbol: "m/s²", spellings: "m/s2|ms-2|m/s/s"},
			{symbol: "g", factor: float64(StandardGravity), spellings: "g|gn|g0"},
		}},
	KindLength: {name: "length", example: "79 mm",
		units: []row{
			{symbol: "m", spellings: "m|metre|metres|meter|meters"},
			{symbol: "mm", factor: 1e-3, spellings: "mm"},
			{symbol: "cm", factor: 1e-2, spellings: "cm"},
			{symbol: "km", factor: 1e3, spellings: "km"},
			{symbol: "in", factor: inch, spellings: "inch|inches", behind: `in|"`},
			{symbol: "ft", factor: foot, spellings: "ft|feet|foot", behind: "'"},
			{symbol: "mi", factor: float64(Mile), spellings: "mi|mile|miles"},
		}},
	KindAngle: {name: "angle", example: "90 deg",
		units: []row{
			{symbol: "°", factor: float64(Degree), spellings: "°|degree|degrees"},
			{symbol: "rad", spellings: "rad|radian|radians"},
			{symbol: "1e-6°", factor: float64(Degree) * 1e-6, spellings: "1e-6°|microdegree|microdegrees|microdeg"},
			{symbol: "1e-7°", factor: float64(Degree) * 1e-7, spellings: "1e-7°"}, // how receivers of positions count
		}},
	KindPressure: {name: "pressure", example: "1008 hPa",
		// Air pressure below 1,300 m, then wherever roads lead.
		plausible: [][2]float64{{86e3, 108e3}, {45e3, 110e3}},
		guesses:   []string{"hPa", "mmHg", "inHg", "psi", "kPa", "bar", "Pa"},
		refused: map[string]string{
			"psig": "psig counts from the pressure of the air; write the absolute pressure in psi",
		},
		units: []row{
			{symbol: "hPa", factor: float64(Hectopascal), spellings: "hPa|mbar|mb|millibar|hectopascal"},
			{symbol: "Pa", spellings: "Pa|pascal"},
			{symbol: "kPa", factor: float64(Kilopascal), spellings: "kPa|kilopascal"},
			{symbol: "MPa", factor: float64(Megapascal), spellings: "MPa"},
			{symbol: "mPa", factor: 1e-3, spellings: "mPa"},
			{symbol: "bar", factor: float64(Bar), spellings: "bar"},
			{symbol: "atm", factor: float64(StandardAtmosphere), behind: "atm"},
			{symbol: "inHg", factor: float64(InchOfMercury), spellings: `inHg|inchHg|inchesHg|"Hg`},
			{symbol: "mmHg", factor: float64(MillimetreOfMercury), spellings: "mmHg"},
			{symbol: "Torr", factor: float64(StandardAtmosphere), per: 760, spellings: "Torr"},
			{symbol: "psi", factor: float64(PoundPerSquareInch), spellings: "psi|psia|lbf/in2|lb/in2|lbf/sqin|lb/sqin"},
			{symbol: "kgf/cm²", factor: float64(StandardGravity) / 1e-4, spellings: "kgf/cm2|kp/cm2|kg/cm2"},
			{symbol: "mmH₂O", factor: float64(StandardGravity), spellings: "mmH2O|mmWS"},               // conventional: 1000 kg/m³
			{symbol: "inH₂O", factor: 1000 * float64(StandardGravity) * inch, spellings: "inH2O|inWC"}, // the same
		}},
	KindRelativeHumidity: {name: "relative humidity", example: "55 %",
		plausible: [][2]float64{{0.02, 1}}, guesses: []string{"%"},
		units: []row{
			{symbol: "%", factor: float64(PercentHumidity), spellings: "%|%RH|RH|%rF", behind: "percent"},
			{symbol: "", spellings: fraction},
		}},
	KindRotationalSpeed: {name: "rotational speed", example: "5500 rpm",
		plausible: [][2]float64{{5, 250}}, guesses: []string{"rpm", "1/s"},
		units: []row{
			{symbol: "rpm", factor: float64(RevolutionPerMinute), spellings: "rpm|1/min|/min|min-1|r/min|rev/min|U/min|tr/min"},
			{symbol: "1/s", spellings: "1/s|s-1|r/s|rps", behind: "Hz"},
		}},
	KindDensity: {name: "density", example: "1.2 kg/m3",
		plausible: [][2]float64{{0.8, 1.5}}, guesses: []string{"kg/m³"},
		units: []row{
			{symbol: "kg/m³", spellings: "kg/m3|kg/cum|g/L"},
			{symbol: "g/cm³", factor: 1000, spellings: "g/cm3|kg/L|g/mL"},
			{symbol: "g/m³", factor: 1e-3, spellings: "g/m3"},
			{symbol: "lb/ft³", factor: float64(Pound) / (foot * foot * foot), spellings: "lb/ft3|lb/cuft"},
		}},
	KindVoltage: {name: "voltage", example: "12.6 V",
		units: []row{
			{symbol: "V", spellings: "V|volt|volts"},
			{symbol: "mV", factor: 1e-3, spellings: "mV|millivolt|millivolts"},
			{symbol: "µV", factor: 1e-6, spellings: "µV"},
		}},
	KindPower: {name: "power", example: "60 kW",
		plausible: [][2]float64{{9e3, 400e3}}, guesses: []string{"kW", "hp", "PS", "W"},
		refused: map[string]string{
			"bhp": "bhp says how power was measured, not its unit; write hp (mechanical, 745.7 W) or PS (metric, 735.5 W)",
			"HP":  "HP is written for two units; write hp (mechanical, 745.7 W) or PS (metric, 735.5 W)",
			"CV":  "write PS (metric, 735.5 W) for the unit of power; a tax rating is no power",
		},
		units: []row{
			{symbol: "kW", factor: float64(Kilowatt), spellings: "kW|kilowatt"},
			{symbol: "W", spellings: "W|watt|watts"},
			{symbol: "MW", factor: 1e6, spellings: "MW"},
			{symbol: "mW", factor: 1e-3, spellings: "mW"},
			{symbol: "hp", factor: float64(MechanicalHorsepower), spellings: "hp"}, // 550 ft·lbf/s
			{symbol: "PS", factor: float64(MetricHorsepower), spellings: "PS", behind: "ch|pk|cv"},
		}},
	KindArea: {name: "area", example: "0.75 m2",
		units: []row{
			{symbol: "m²", spellings: "m2|sqm"},
			{symbol: "cm²", factor: float64(SquareCentimetre), spellings: "cm2|sqcm"},
			{symbol: "mm²", factor: float64(SquareMillimetre), spellings: "mm2|sqmm"},
			{symbol: "in²", factor: inch * inch, spellings: "in2|sqin"},
			{symbol: "ft²", factor: foot * foot, spellings: "ft2|sqft"},
		}},
	KindVolume: {name: "volume", example: "1598 cm3",
		plausible: [][2]float64{{2e-4, 9e-3}}, guesses: []string{"cm³", "L", "in³"},
		units: []row{
			{symbol: "L", factor: float64(Litre), spellings: "litre|litres|liter|liters", behind: "l|L"},
			{symbol: "cm³", factor: float64(CubicCentimetre), spellings: "cm3|cc|ccm|cucm|ml|mL"},
			{symbol: "m³", spellings: "m3|cum"},
			{symbol: "in³", factor: float64(CubicInch), spellings: "in3|cuin|cui|cid|cubicinch|cubicinches"},
		}},
	KindMass: {name: "mass", example: "1050 kg",
		plausible: [][2]float64{{300, 4000}}, guesses: []string{"kg", "lb", "t"},
		units: []row{
			{symbol: "kg", spellings: "kg|kilogram|kilograms"},
			{symbol: "g", factor: float64(Gram), spellings: "g|gram|grams"},
			{symbol: "t", factor: 1000, spellings: "tonne|tonnes", behind: "t"},
			{symbol: "lb", factor: float64(Pound), spellings: "lb|lbs|pound|pounds"},
		}},
	KindTorque: {name: "torque", example: "122 N m",
		plausible: [][2]float64{{25, 900}}, guesses: []string{"N·m", "lbf·ft", "kgf·m"},
		units: []row{
			{symbol: "N·m", spellings: "Nm"},
			{symbol: "daN·m", factor: 10, spellings: "daNm|mdaN"},
			{symbol: "kgf·m", factor: float64(KilogramForceMetre), spellings: "kgfm|kpm|mkg|kgm|mkgf|mkp"},
			{symbol: "lbf·ft", factor: float64(PoundForceFoot), spellings: "lbfft|lbft|ftlb|ftlbf|ftlbs|lb-ft|ft-lb|ft-lbs|lbf-ft|ft-lbf|poundfeet|footpounds"},
			{symbol: "lbf·in", factor: poundForce * inch, spellings: "lbfin|lbin|inlb|inlbf|lb-in|in-lb|lbf-in|in-lbf"},
		}},
	KindEnergy: {name: "energy", example: "5 kJ",
		units: []row{
			{symbol: "kJ", factor: float64(Kilojoule), spellings: "kJ"},
			{symbol: "J", spellings: "J|joule|joules"},
			{symbol: "MJ", factor: float64(Megajoule), spellings: "MJ"},
			{symbol: "mJ", factor: 1e-3, spellings: "mJ"},
			{symbol: "Wh", factor: hour, spellings: "Wh"},
			{symbol: "kWh", factor: float64(KilowattHour), spellings: "kWh"},
		}},
	KindForce: {name: "force", example: "180 N",
		units: []row{
			{symbol: "N", spellings: "newton|newtons", behind: "N"},
			{symbol: "kN", factor: float64(Kilonewton), spellings: "kN"},
			{symbol: "kgf", factor: float64(StandardGravity), spellings: "kgf|kp"},
			{symbol: "lbf", factor: poundForce, spellings: "lbf"},
		}},
	KindMassFlow: {name: "mass flow", example: "40 g/s",
		units: []row{
			{symbol: "g/s", factor: float64(GramPerSecond), spellings: "g/s"},
			{symbol: "kg/s", spellings: "kg/s"},
			{symbol: "kg/h", factor: float64(KilogramPerHour), spellings: "kg/h|kg/hr"},
			{symbol: "lb/min", factor: float64(Pound), per: minute, spellings: "lb/min"},
		}},
	KindVolumeFlow: {name: "volume flow", example: "60 L/s",
		units: []row{
			{symbol: "L/s", factor: float64(LitrePerSecond), spellings: "l/s|L/s"},
			{symbol: "m³/s", spellings: "m3/s"},
			{symbol: "m³/h", factor: float64(CubicMetrePerHour), spellings: "m3/h"},
			{symbol: "L/min", factor: float64(Litre), per: minute, spellings: "l/min|L/min"},
			{symbol: "cfm", factor: foot * foot * foot, per: minute, spellings: "cfm|ft3/min|cuft/min"},
		}},
	KindDuration: {name: "duration", example: "12.5 s",
		units: []row{
			{symbol: "s", spellings: "s|sec|secs|second|seconds|sek|sekunden"},
			{symbol: "min", factor: minute, spellings: "min|mins|minute|minutes|minuten"},
			{symbol: "h", factor: hour, spellings: "h|hour|hours|stunden", behind: "hr|hrs|std"},
			{symbol: "d", factor: day, behind: "d|day|days"},
			{symbol: "ms", factor: 1e-3, spellings: "ms|msec|millis|millisecond|milliseconds"},
			{symbol: "µs", factor: 1e-6, spellings: "µs|usec|microseconds"},
		}},
	KindClockDrift: {name: "clock drift", example: "1.7 s/day",
		refused: map[string]string{"%": "write parts per million, ppm, or seconds per day, s/day"},
		units: []row{
			{symbol: "s/day", per: day, spellings: "s/day|s/d|sec/day|seconds/day"},
			{symbol: "s/h", per: hour, spellings: "s/h|s/hour"},
			{symbol: "ppm", factor: 1e-6, spellings: "ppm"},
			{symbol: "", behind: fraction},
		}},
	KindShare: {name: "share", example: "12 %",
		plausible: [][2]float64{{0, 1}}, guesses: []string{"%"},
		units: []row{
			{symbol: "%", factor: 0.01, spellings: "%", behind: "percent|pct"},
			{symbol: "", spellings: fraction},
		}},
	KindThermalInsulance: {name: "thermal insulance", example: "0.1 m2 K/W",
		units: []row{{symbol: "m²·K/W", spellings: "m2K/W"}}},
}

// A kind without an entry stops the build here: the two arrays have different
// lengths.
var _ [kinds]entry = table
