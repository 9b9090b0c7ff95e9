package quantity

// Volume is a volume or an engine's displacement, stored in cubic metre.
type Volume float64

// Units of Volume.
const (
	CubicMetre      Volume = 1
	Litre           Volume = 1e-3
	CubicCentimetre Volume = 1e-6
	CubicInch       Volume = 1.6387064e-5
)

// CubicMetres returns v in cubic metres.
func (v Volume) CubicMetres() float64 { return float64(v) / float64(CubicMetre) }

// Litres returns v in litres.
func (v Volume) Litres() float64 { return float64(v) / float64(Litre) }

// CubicCentimetres returns v in cubic centimetres.
func (v Volume) CubicCentimetres() float64 { return float64(v) / float64(CubicCentimetre) }

// CubicInches returns v in cubic inches.
func (v Volume) CubicInches() float64 { return float64(v) / float64(CubicInch) }

// String returns v with its customary unit.
func (v Volume) String() string { return text("%.4g L", v.Litres()) }
