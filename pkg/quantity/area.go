package quantity

// Area is an area, stored in square metre.
type Area float64

// Units of Area.
const (
	SquareMetre      Area = 1
	SquareCentimetre Area = 1e-4
	SquareMillimetre Area = 1e-6
)

// SquareMetres returns a in square metres.
func (a Area) SquareMetres() float64 { return float64(a) / float64(SquareMetre) }

// SquareCentimetres returns a in square centimetres.
func (a Area) SquareCentimetres() float64 { return float64(a) / float64(SquareCentimetre) }

// SquareMillimetres returns a in square millimetres.
func (a Area) SquareMillimetres() float64 { return float64(a) / float64(SquareMillimetre) }

// String returns a with its customary unit.
func (a Area) String() string { return text("%.4g m²", a.SquareMetres()) }
