package quantity

// Angle is a plane angle, stored in radian.
type Angle float64

// Units of Angle.
const (
	Radian Angle = 1
	Degree Angle = 0.017453292519943295
)

// Radians returns a in radians.
func (a Angle) Radians() float64 { return float64(a) / float64(Radian) }

// Degrees returns a in degrees.
func (a Angle) Degrees() float64 { return float64(a) / float64(Degree) }

// String returns a with its customary unit.
func (a Angle) String() string { return text("%.4g°", a.Degrees()) }
