package quantity

// RotationalSpeed is a rotational speed, stored in revolution per second.
//
// It counts revolutions, not radians; ω = 2π·n.
type RotationalSpeed float64

// Units of RotationalSpeed.
const (
	RevolutionPerSecond RotationalSpeed = 1
	RevolutionPerMinute RotationalSpeed = 1.0 / 60
)

// RevolutionsPerSecond returns n in revolutions per second.
func (n RotationalSpeed) RevolutionsPerSecond() float64 {
	return float64(n) / float64(RevolutionPerSecond)
}

// RevolutionsPerMinute returns n in revolutions per minute.
func (n RotationalSpeed) RevolutionsPerMinute() float64 {
	return float64(n) / float64(RevolutionPerMinute)
}

// String returns n with its customary unit.
func (n RotationalSpeed) String() string { return text("%.0f rpm", n.RevolutionsPerMinute()) }
