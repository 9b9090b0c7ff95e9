package quantity

// RelativeHumidity is a relative humidity over liquid water as a fraction of saturation, 0 to 1, stored in one.
type RelativeHumidity float64

// Units of RelativeHumidity.
const (
	Saturation      RelativeHumidity = 1
	PercentHumidity RelativeHumidity = 0.01
)

// Fraction returns h as a fraction of saturation.
func (h RelativeHumidity) Fraction() float64 { return float64(h) / float64(Saturation) }

// PercentHumidity returns h in percent.
func (h RelativeHumidity) PercentHumidity() float64 { return float64(h) / float64(PercentHumidity) }

// String returns h with its customary unit.
func (h RelativeHumidity) String() string { return text("%.0f %%", h.PercentHumidity()) }
