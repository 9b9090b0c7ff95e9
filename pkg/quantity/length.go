package quantity

import "fmt"

// Length is a length or height, stored in metre.
//
// The mile is the international mile.
type Length float64

// Units of Length.
const (
	Metre      Length = 1
	Millimetre Length = 1e-3
	Centimetre Length = 1e-2
	Kilometre  Length = 1e3
	Inch       Length = 0.0254
	Foot       Length = 0.3048
	Mile       Length = 1609.344
)

// Metres returns l in metres.
func (l Length) Metres() float64 { return float64(l) / float64(Metre) }

// Millimetres returns l in millimetres.
func (l Length) Millimetres() float64 { return float64(l) / float64(Millimetre) }

// Centimetres returns l in centimetres.
func (l Length) Centimetres() float64 { return float64(l) / float64(Centimetre) }

// Kilometres returns l in kilometres.
func (l Length) Kilometres() float64 { return float64(l) / float64(Kilometre) }

// Inches returns l in inches.
func (l Length) Inches() float64 { return float64(l) / float64(Inch) }

// Feet returns l in feet.
func (l Length) Feet() float64 { return float64(l) / float64(Foot) }

// Miles returns l in miles.
func (l Length) Miles() float64 { return float64(l) / float64(Mile) }

// String returns l in metres, below 1 m in millimetres.
func (l Length) String() string {
	if l > -1 && l < 1 && l != 0 {
		return fmt.Sprintf("%.4g mm", l.Millimetres())
	}
	return fmt.Sprintf("%.4g m", l.Metres())
}
