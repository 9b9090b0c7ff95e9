package quantity

// Energy is an energy or heat, stored in joule.
type Energy float64

// Units of Energy.
const (
	Joule        Energy = 1
	Kilojoule    Energy = 1e3
	Megajoule    Energy = 1e6
	KilowattHour Energy = 3.6e6
)

// Joules returns e in joules.
func (e Energy) Joules() float64 { return float64(e) / float64(Joule) }

// Kilojoules returns e in kilojoules.
func (e Energy) Kilojoules() float64 { return float64(e) / float64(Kilojoule) }

// Megajoules returns e in megajoules.
func (e Energy) Megajoules() float64 { return float64(e) / float64(Megajoule) }

// KilowattHours returns e in kilowatt hours.
func (e Energy) KilowattHours() float64 { return float64(e) / float64(KilowattHour) }

// String returns e with its customary unit.
func (e Energy) String() string { return text("%.4g kJ", e.Kilojoules()) }
