package quantity

// Pressure is an absolute pressure unless a function says gauge, stored in pascal.
//
// The millimetre and the inch of mercury are the conventional ones, columns of
// 13595.1 kg/m³ under standard gravity (NIST SP 811, B.8: 133.3224 Pa and
// 3386.389 Pa). The torr is another unit, 101325/760 Pa.
type Pressure float64

// Units of Pressure.
const (
	Pascal              Pressure = 1
	Hectopascal         Pressure = 100
	Kilopascal          Pressure = 1000
	Megapascal          Pressure = 1e6
	Bar                 Pressure = 1e5
	StandardAtmosphere  Pressure = 101325
	MillimetreOfMercury Pressure = mercuryDensity * Pressure(StandardGravity) * 1e-3
	InchOfMercury       Pressure = mercuryDensity * Pressure(StandardGravity) * inch
	PoundPerSquareInch  Pressure = Pressure(poundForce) / (inch * inch)
)

// Pascals returns p in pascals.
func (p Pressure) Pascals() float64 { return float64(p) / float64(Pascal) }

// Hectopascals returns p in hectopascals.
func (p Pressure) Hectopascals() float64 { return float64(p) / float64(Hectopascal) }

// Kilopascals returns p in kilopascals.
func (p Pressure) Kilopascals() float64 { return float64(p) / float64(Kilopascal) }

// Megapascals returns p in megapascals.
func (p Pressure) Megapascals() float64 { return float64(p) / float64(Megapascal) }

// Bars returns p in bars.
func (p Pressure) Bars() float64 { return float64(p) / float64(Bar) }

// StandardAtmospheres returns p in standard atmospheres.
func (p Pressure) StandardAtmospheres() float64 { return float64(p) / float64(StandardAtmosphere) }

// MillimetresOfMercury returns p in millimetres of mercury.
func (p Pressure) MillimetresOfMercury() float64 { return float64(p) / float64(MillimetreOfMercury) }

// InchesOfMercury returns p in inches of mercury.
func (p Pressure) InchesOfMercury() float64 { return float64(p) / float64(InchOfMercury) }

// PoundsPerSquareInch returns p in pounds per square inch.
func (p Pressure) PoundsPerSquareInch() float64 { return float64(p) / float64(PoundPerSquareInch) }

// String returns p with its customary unit.
func (p Pressure) String() string { return text("%.1f hPa", p.Hectopascals()) }
