package quantity

// Mass is a mass, stored in kilogram.
type Mass float64

// Units of Mass.
const (
	Kilogram Mass = 1
	Gram     Mass = 1e-3
	Pound    Mass = 0.45359237
)

// Kilograms returns m in kilograms.
func (m Mass) Kilograms() float64 { return float64(m) / float64(Kilogram) }

// Grams returns m in grams.
func (m Mass) Grams() float64 { return float64(m) / float64(Gram) }

// Pounds returns m in pounds.
func (m Mass) Pounds() float64 { return float64(m) / float64(Pound) }

// String returns m with its customary unit.
func (m Mass) String() string { return text("%.4g kg", m.Kilograms()) }
