package quantity

// Torque is a torque, stored in newton metre.
type Torque float64

// Units of Torque.
const (
	NewtonMetre        Torque = 1
	KilogramForceMetre Torque = 9.80665
	PoundForceFoot     Torque = 1.3558179483314004
)

// NewtonMetres returns t in newton metres.
func (t Torque) NewtonMetres() float64 { return float64(t) / float64(NewtonMetre) }

// KilogramForceMetres returns t in kilogram force metres.
func (t Torque) KilogramForceMetres() float64 { return float64(t) / float64(KilogramForceMetre) }

// PoundForceFeet returns t in pound force feet.
func (t Torque) PoundForceFeet() float64 { return float64(t) / float64(PoundForceFoot) }

// String returns t with its customary unit.
func (t Torque) String() string { return text("%.1f N·m", t.NewtonMetres()) }
