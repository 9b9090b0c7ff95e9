package quantity

// Acceleration is an acceleration, stored in metre per second squared.
type Acceleration float64

// Units of Acceleration.
const (
	MetrePerSecondSquared Acceleration = 1
	StandardGravity       Acceleration = 9.80665
)

// MetresPerSecondSquared returns a in metres per second squared.
func (a Acceleration) MetresPerSecondSquared() float64 {
	return float64(a) / float64(MetrePerSecondSquared)
}

// StandardGravities returns a in standard gravities.
func (a Acceleration) StandardGravities() float64 { return float64(a) / float64(StandardGravity) }

// String returns a with its customary unit.
func (a Acceleration) String() string { return text("%.2f m/s²", a.MetresPerSecondSquared()) }
