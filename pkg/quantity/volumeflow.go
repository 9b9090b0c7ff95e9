package quantity

// VolumeFlow is a volume flow rate, stored in cubic metre per second.
type VolumeFlow float64

// Units of VolumeFlow.
const (
	CubicMetrePerSecond VolumeFlow = 1
	LitrePerSecond      VolumeFlow = 1e-3
	CubicMetrePerHour   VolumeFlow = 1.0 / 3600
)

// CubicMetresPerSecond returns q in cubic metres per second.
func (q VolumeFlow) CubicMetresPerSecond() float64 { return float64(q) / float64(CubicMetrePerSecond) }

// LitresPerSecond returns q in litres per second.
func (q VolumeFlow) LitresPerSecond() float64 { return float64(q) / float64(LitrePerSecond) }

// CubicMetresPerHour returns q in cubic metres per hour.
func (q VolumeFlow) CubicMetresPerHour() float64 { return float64(q) / float64(CubicMetrePerHour) }

// String returns q with its customary unit.
func (q VolumeFlow) String() string { return text("%.4g L/s", q.LitresPerSecond()) }
