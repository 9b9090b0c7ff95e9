package quantity

// MassFlow is a mass flow rate, stored in kilogram per second.
type MassFlow float64

// Units of MassFlow.
const (
	KilogramPerSecond MassFlow = 1
	GramPerSecond     MassFlow = 1e-3
	KilogramPerHour   MassFlow = 1.0 / 3600
)

// KilogramsPerSecond returns m in kilograms per second.
func (m MassFlow) KilogramsPerSecond() float64 { return float64(m) / float64(KilogramPerSecond) }

// GramsPerSecond returns m in grams per second.
func (m MassFlow) GramsPerSecond() float64 { return float64(m) / float64(GramPerSecond) }

// KilogramsPerHour returns m in kilograms per hour.
func (m MassFlow) KilogramsPerHour() float64 { return float64(m) / float64(KilogramPerHour) }

// String returns m with its customary unit.
func (m MassFlow) String() string { return text("%.4g g/s", m.GramsPerSecond()) }
