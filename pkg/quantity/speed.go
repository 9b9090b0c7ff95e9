package quantity

// Speed is a speed, stored in metre per second.
type Speed float64

// Units of Speed.
const (
	MetrePerSecond   Speed = 1
	KilometrePerHour Speed = 1.0 / 3.6
	MilePerHour      Speed = 0.44704
	Knot             Speed = 1852.0 / 3600
)

// MetresPerSecond returns v in metres per second.
func (v Speed) MetresPerSecond() float64 { return float64(v) / float64(MetrePerSecond) }

// KilometresPerHour returns v in kilometres per hour.
func (v Speed) KilometresPerHour() float64 { return float64(v) / float64(KilometrePerHour) }

// MilesPerHour returns v in miles per hour.
func (v Speed) MilesPerHour() float64 { return float64(v) / float64(MilePerHour) }

// Knots returns v in knots.
func (v Speed) Knots() float64 { return float64(v) / float64(Knot) }

// String returns v with its customary unit.
func (v Speed) String() string { return text("%.1f km/h", v.KilometresPerHour()) }
