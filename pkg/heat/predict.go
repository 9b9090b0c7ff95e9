package heat

import (
	"errors"
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/regression"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// ErrNoModel is wrapped by the error of Predict where the drive has too little
// driving with the thermostat open.
var ErrNoModel = errors.New("no model of the rise")

// Condition is what Predict is asked for.
type Condition struct {
	Ambient quantity.Temperature
	Speed   quantity.Speed
	// Airflow is the engine's air flow over that at a steady 60 km/h; 0 means
	// that of steady driving at Speed. Full throttle is often 3 to 5.
	Airflow float64
}

// Prediction is the intake temperature at a condition.
type Prediction struct {
	Intake    quantity.Temperature
	Low, High quantity.Temperature // 95 % interval, see Estimate
	// Carried is the rise taken along with the air that comes in, PickedUp
	// the rise in the duct on the way, which falls as the air flow grows.
	Carried, PickedUp quantity.TemperatureDifference
	// Warnings say how far the condition lies outside the drive's data
	// ([estimate.OutsideRange]) and what had to be assumed ([Assumed]).
	Warnings []estimate.Warning

	drive string
}

// Estimate returns the intake temperature as an estimate, in °C; the interval
// holds a half-minute at the condition.
func (p Prediction) Estimate() Estimate {
	s := subject{p.drive, "intake at another condition"}
	low, high := p.Low.Kelvin(), p.High.Kelvin()
	e := estimate.Between(s.name, p.Intake.Kelvin(), quantity.KindTemperature.Shown(),
		estimate.Interval{Low: low, High: high, Level: level}, estimate.WithinDrive, math.NaN())
	e.Contributions = []estimate.Contribution{{Source: s.source(estimate.ModelSpread), Effect: (high - low) / 2 / normal}}
	e.Warnings = p.Warnings
	return e
}

// String returns the prediction and its warnings.
func (p Prediction) String() string {
	s := fmt.Sprintf("intake %v (95 %% interval %v to %v): %v carried in, %v picked up on the way", p.Intake, p.Low, p.High, p.Carried, p.PickedUp)
	for _, w := range p.Warnings {
		s += "\n  " + string(w.Kind) + ": " + w.Text
	}
	return s
}

// model is the rise over ambient as a function of speed and air flow:
//
//	rise = a + b·draught + c·(1/air flow)
//
// where the last part is what a duct's or air box's wall gives to the air. It
// falls as 1/airflow, since the wall's heat is spread over more air.
type model struct {
	fit       regression.Fit
	pickUp    bool // c is identified
	why       string
	hot       float64 // K, what heats the bay: regulated coolant
	assumed   bool    // hot is not measured
	ambient   float64 // K, mean
	thin      [2]float64
	speed     [2]float64
	ambients  [2]float64
	meanThin  float64
	rise      float64 // mean
	blocks    int
	fullCount int
}

// fitModel fits the blocks with an open thermostat outside heat soak.
func fitModel(d *drive.Drive, blocks []block, opening thermostat.Result) model {
	use := pick(blocks, func(b block) bool {
		return b.known && b.open && !b.soaking && b.kind != segment.Stopped && !(b.onset < 120)
	})
	m := model{blocks: len(use)}
	if len(use) < 6 {
		m.why = fmt.Sprintf("%d half-minutes of driving with an open thermostat: too few to predict from", len(use))
		return m
	}
	thin := column(use, func(b block) float64 { return b.thin })
	m.thin, m.speed = extent(thin), extent(column(use, func(b block) float64 { return b.speed }))
	m.ambients = extent(column(use, func(b block) float64 { return b.ambient }))
	m.meanThin, m.rise = mean(thin), mean(rises(use))
	m.ambient = mean(column(use, func(b block) float64 { return b.ambient }))
	m.fullCount = countBlocks(use, func(b block) bool { return b.kind == segment.FullThrottle })
	m.hot = quantity.Celsius(85).Kelvin()
	m.assumed = true
	if opening.Regulation.Role != "" {
		m.hot, m.assumed = opening.Regulation.Level.Value, false
	}
	one := constant(len(use))
	if r, ok := regress(rises(use), one, draughts(use), thin); ok {
		low, high := r.Interval([]float64{0, 0, 1}, 0.95)
		// The slope must be told from zero or bounded well below the rise,
		// and must be possible: air can't lose heat in a hot bay.
		if r.Coefficients[2] > 0 && (low > 0 || high*m.meanThin < m.rise/2) {
			m.fit, m.pickUp = r, true
			return m
		}
	}
	var ok bool
	if m.fit, ok = regress(rises(use), one, draughts(use)); !ok {
		if m.fit, ok = regress(rises(use), one); !ok {
			m.blocks = 0
		}
	}
	m.why = "how much of the rise the air picks up on its way is not identifiable: load and speed varied together or too little; predictions for other air flows bracket it between nothing and all of the rise"
	return m
}

func extent(x []float64) [2]float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range x {
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	return [2]float64{lo, hi}
}

func (m model) pickUpEstimate(s subject) Estimate {
	if !m.pickUp {
		return s.unknown(kelvin, "%s", m.why)
	}
	return s.fitted(m.fit, kelvin, []float64{0, 0, m.meanThin}, m.blocks)
}

// Predict returns the intake temperature at another condition.
//
// The rise is scaled with (coolant − ambient), since coolant is regulated and
// what heats the bay lies between the two; speed acts through the draught in
// the bay, air flow through the part picked up on the way. Where that part is
// not identifiable, the value takes half the rise as picked up and the
// interval reaches from none to all.
//
// The error wraps [ErrNoModel] where the drive has too little driving with the
// thermostat open, and [quantity.ErrOutOfRange] for an outside air beyond −50
// to 60 °C, a speed beyond 0 to 90 m/s or an air flow beyond 0 to 50.
func (a Analysis) Predict(c Condition) (Prediction, error) {
	m := a.model
	if m.blocks < 6 {
		return Prediction{}, fmt.Errorf("heat.Predict: drive %q: %w: %s", a.Drive, ErrNoModel, m.why)
	}
	if err := c.check(); err != nil {
		return Prediction{}, err
	}
	t, v := c.Ambient.Kelvin(), c.Speed.MetresPerSecond()
	flow := c.Airflow
	if flow == 0 {
		flow = steadyAirflow(v)
	}
	scale := (m.hot - t) / (m.hot - m.ambient)
	draught := 1 / (1 + v/5)
	p := Prediction{drive: a.Drive}
	var rise, half float64
	switch {
	case m.pickUp:
		rise, half = predicted(m.fit, []float64{1, draught, 1 / flow})
		p.PickedUp = quantity.KelvinDifference(scale * m.fit.Coefficients[2] / flow)
		p.Carried = quantity.KelvinDifference(scale*rise) - p.PickedUp
		low, high := scale*(rise-half), scale*(rise+half)
		p.fill(c.Ambient, scale*rise, low, high)
	default:
		x := []float64{1, draught}[:len(m.fit.Coefficients)]
		rise, half = predicted(m.fit, x)
		ratio := 1 / flow / m.meanThin // of pick-up here to pick-up in the drive
		p.Carried = quantity.KelvinDifference(scale * rise / 2)
		p.PickedUp = quantity.KelvinDifference(scale * rise / 2 * ratio)
		low := scale * (rise*math.Min(1, ratio) - half)
		high := scale * (rise*math.Max(1, ratio) + half)
		p.fill(c.Ambient, scale*rise*(1+ratio)/2, low, high)
	}
	p.Warnings = m.extrapolation(a.Drive, c, flow)
	return p, nil
}

// check refuses conditions that no drive of a car could tell about.
func (c Condition) check() error {
	const function = "heat.Predict"
	low, high := quantity.Celsius(-50), quantity.Celsius(60)
	if !(c.Ambient.Kelvin() > low.Kelvin() && c.Ambient.Kelvin() < high.Kelvin()) {
		return quantity.OutOfRange(function, "ambient", c.Ambient.Kelvin(), low.Kelvin(), high.Kelvin(), quantity.KindTemperature.Shown(), "")
	}
	if v := c.Speed.MetresPerSecond(); !(v >= 0 && v < 90) {
		return quantity.OutOfRange(function, "speed", v, 0, 90, quantity.KindSpeed.Shown(), "")
	}
	if !(c.Airflow >= 0 && c.Airflow < 50) {
		return quantity.OutOfRange(function, "air flow", c.Airflow, 0, 50, quantity.Unit{}, "times that of a steady 60 km/h")
	}
	return nil
}

// predicted is a fit's value at x and the half-width of the 95 % interval of
// a further block there.
func predicted(f regression.Fit, x []float64) (value, half float64) {
	value, _ = f.At(x)
	_, high := f.Prediction(x, 0.95)
	return value, high - value
}

func (p *Prediction) fill(ambient quantity.Temperature, rise, low, high float64) {
	p.Intake = ambient.Add(quantity.KelvinDifference(rise))
	p.Low = ambient.Add(quantity.KelvinDifference(low))
	p.High = ambient.Add(quantity.KelvinDifference(high))
}

func (m model) extrapolation(drive string, c Condition, flow float64) (all []estimate.Warning) {
	add := func(kind estimate.Kind, format string, arguments ...any) {
		all = append(all, estimate.Warning{Kind: kind, Subject: drive, Text: fmt.Sprintf(format, arguments...)})
	}
	if t := c.Ambient.Kelvin(); t < m.ambients[0]-2 || t > m.ambients[1]+2 {
		add(estimate.OutsideRange, "ambient %v, the drive saw %v to %v", c.Ambient, quantity.Kelvin(m.ambients[0]), quantity.Kelvin(m.ambients[1]))
	}
	if v := c.Speed.MetresPerSecond(); v < m.speed[0] || v > m.speed[1] {
		add(estimate.OutsideRange, "speed %v, the drive had %v to %v with the thermostat open", c.Speed, speedOf(m.speed[0]), speedOf(m.speed[1]))
	}
	if most := 1 / m.thin[0]; flow > most {
		add(estimate.OutsideRange, "air flow %.1f times that of a steady 60 km/h, the drive's half-minutes reached %.1f", flow, most)
	}
	if !m.pickUp {
		add(Assumed, "the share picked up on the way (half, between none and all)")
	}
	if m.assumed {
		add(Assumed, "coolant at %v", quantity.Kelvin(m.hot))
	}
	return all
}
