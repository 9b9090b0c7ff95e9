package car

// Trace is one drive as it truly was, once a second from the record's start.
// All columns have the same length.
type Trace struct {
	SpeedMPS, DistanceM, HeightM, LatDeg, LonDeg, RPM []float64
	FullThrottle, Running                             []bool
	PowerW, FullPowerW, FuelKgS, AirKgS, Lambda       []float64
	// Temperatures, °C. AmbientC is free air where the car is.
	AmbientC, CoolantC, JacketInC, HeadC, BlockC, UpperC, LowerC   []float64
	FrontC, RearC, BonnetC, ManifoldC, BoxC, IntakeC, ThroatC      []float64
	GrilleC, AirMPS, Lift, PressurePa, SunWPerM2                   []float64
	Outcome                                                        Outcome
	FirstFlowS, TankRiseHalfS, TankRiseS, TankMidS, FullLiftS      float64 // NaN when never
	MaxCoolantC, SoakRiseK, BoiledJ                                float64
	FuelHeatJ, ToRadiatorJ, ToBayJ, ToHeaterJ, ToFinsJ, HeatStoreJ float64 // of coolant, head and block
}

// Outcome is what the valve did, in the words that answers use.
type Outcome string

// The outcomes. Already is a record that begins with the valve open.
const (
	Opened       Outcome = "opened"
	NotReached   Outcome = "not reached"
	Already      Outcome = "already open"
	StuckOpen    Outcome = "stuck open"
	NoThermostat Outcome = "no thermostat"
)

// Len is the number of seconds.
func (t *Trace) Len() int { return len(t.SpeedMPS) }

// RiseK is the air drawn over free air at second i, K.
func (t *Trace) RiseK(i int) float64 { return t.IntakeC[i] - t.AmbientC[i] }

func (t *Trace) grow(n int) {
	for _, col := range []*[]float64{
		&t.SpeedMPS, &t.DistanceM, &t.HeightM, &t.LatDeg, &t.LonDeg, &t.RPM, &t.PowerW, &t.FullPowerW,
		&t.FuelKgS, &t.AirKgS, &t.Lambda, &t.AmbientC, &t.CoolantC, &t.JacketInC, &t.HeadC, &t.BlockC,
		&t.UpperC, &t.LowerC, &t.FrontC, &t.RearC, &t.BonnetC, &t.ManifoldC, &t.BoxC, &t.IntakeC, &t.ThroatC,
		&t.GrilleC, &t.AirMPS, &t.Lift, &t.PressurePa, &t.SunWPerM2,
	} {
		*col = make([]float64, 0, n)
	}
	t.FullThrottle, t.Running = make([]bool, 0, n), make([]bool, 0, n)
}
