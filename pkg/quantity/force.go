package quantity

// Force is a force, stored in newton.
type Force float64

// Units of Force.
const (
	Newton     Force = 1
	Kilonewton Force = 1e3
)

// Newtons returns f in newtons.
func (f Force) Newtons() float64 { return float64(f) / float64(Newton) }

// Kilonewtons returns f in kilonewtons.
func (f Force) Kilonewtons() float64 { return float64(f) / float64(Kilonewton) }

// String returns f with its customary unit.
func (f Force) String() string { return text("%.4g N", f.Newtons()) }
