package quantity

// Density is a mass density, stored in kilogram per cubic metre.
type Density float64

// Units of Density.
const (
	KilogramPerCubicMetre Density = 1
)

// KilogramsPerCubicMetre returns d in kilograms per cubic metre.
func (d Density) KilogramsPerCubicMetre() float64 { return float64(d) / float64(KilogramPerCubicMetre) }

// String returns d with its customary unit.
func (d Density) String() string { return text("%.4f kg/m³", d.KilogramsPerCubicMetre()) }
