package quantity

// Power is a power, stored in watt.
//
// Metric horsepower is 75 kgf·m/s; mechanical horsepower is 550 ft·lbf/s.
type Power float64

// Units of Power.
const (
	Watt                 Power = 1
	Kilowatt             Power = 1e3
	MetricHorsepower     Power = 735.49875
	MechanicalHorsepower Power = 745.6998715822702
)

// Watts returns p in watts.
func (p Power) Watts() float64 { return float64(p) / float64(Watt) }

// Kilowatts returns p in kilowatts.
func (p Power) Kilowatts() float64 { return float64(p) / float64(Kilowatt) }

// MetricHorsepower returns p in metric horsepower.
func (p Power) MetricHorsepower() float64 { return float64(p) / float64(MetricHorsepower) }

// MechanicalHorsepower returns p in mechanical horsepower.
func (p Power) MechanicalHorsepower() float64 { return float64(p) / float64(MechanicalHorsepower) }

// String returns p with its customary unit.
func (p Power) String() string { return text("%.1f kW", p.Kilowatts()) }
