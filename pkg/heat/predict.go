package heat

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/internal/ambientlaw"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// ErrNoModel is wrapped by the error of Predict where the drive has too little
// driving with a warm engine.
var ErrNoModel = errors.New("no model of the rise")

// Condition is what Predict is asked for.
type Condition struct {
	Ambient quantity.Temperature
	Speed   quantity.Speed
	// Grade is the road's rise over run; 0.04 is a climb of 4 %.
	Grade float64
	// Airflow is the engine's air flow over that at a steady 60 km/h on the
	// level, see [RelativeAirflow]; 0 means that of steady driving at Speed on
	// Grade. Full throttle is often 3 to 5.
	Airflow float64
	// Held is for how long the load has lasted, after settled driving on the
	// level at Before (0 stands for Speed). A pull of ten seconds finds the bay
	// as the cruise left it; after minutes the engine's own heat has arrived. 0
	// means for so long that everything has settled.
	Held   time.Duration
	Before quantity.Speed
}

// Prediction is the intake temperature at a condition.
type Prediction struct {
	Intake    quantity.Temperature
	Low, High quantity.Temperature // 95 % interval, see Estimate
	// Carried is the rise taken along with the air that comes in, PickedUp
	// the rise on the way, which falls as the air flow grows.
	Carried, PickedUp quantity.TemperatureDifference
	// Warnings say how far the condition lies outside the drives' data
	// ([estimate.OutsideRange]) and what had to be assumed ([Assumed]).
	Warnings []estimate.Warning

	of            subject
	units         quantity.Preferred
	contributions []estimate.Contribution
}

// Estimate returns the intake temperature as an estimate in the unit in
// which the drive is read; the interval holds the mean of a drive at the
// condition. In the difference of two predictions from the same drives
// ([estimate.Difference]) the probes' errors cancel and so does what the drives'
// own days did; what the outside temperature does counts over the difference of
// the two temperatures.
func (p Prediction) Estimate() Estimate {
	e := estimate.Between(p.of.name, p.Intake.Kelvin(), p.units.Of(quantity.KindTemperature),
		estimate.Interval{Low: p.Low.Kelvin(), High: p.High.Kelvin(), Level: level}, estimate.Propagated, math.NaN())
	e.Contributions, e.Warnings = p.contributions, p.Warnings
	return e
}

// String returns the prediction and its warnings.
func (p Prediction) String() string {
	s := fmt.Sprintf("intake %s (95 %% interval %s): %s carried in, %s picked up on the way", p.units.Say(quantity.KindTemperature, "%.1f", p.Intake.Kelvin()), p.units.Span(quantity.KindTemperature, "%.1f", p.Low.Kelvin(), p.High.Kelvin()),
		p.units.Say(quantity.KindTemperatureDifference, "%.1f", p.Carried.Kelvins()), p.units.Say(quantity.KindTemperatureDifference, "%.1f", p.PickedUp.Kelvins()))
	for _, w := range p.Warnings {
		s += "\n  " + string(w.Kind) + ": " + w.Text
	}
	return s
}

// Predict returns the intake temperature at another condition, from one drive.
// [PredictFrom] does the same from several, which tell how the rise follows the
// outside temperature; one drive can't, and its interval says so.
//
// The error wraps [ErrNoModel] where the drive has too little driving with a
// warm engine, and [quantity.ErrOutOfRange] for an outside air beyond −50
// to 60 °C, a speed beyond 0 to 90 m/s, a grade beyond ±0.3, an air flow beyond
// 0 to 50 or a negative time.
func (a Analysis) Predict(c Condition) (Prediction, error) { return PredictFrom(c, a) }

// PredictFrom predicts the intake temperature from drives of one
// configuration.
//
// Load acts in two ways: more air has less time to take heat up on its way in,
// at once; more fuel sets more heat free, which reaches the bay in a minute or
// two. Each drive says what it can about both, priors hold the rest (see the
// source of [Analysis]). How the rise follows the outside temperature is
// learned from the drives, with a prior that spans a rise in proportion to
// (coolant − ambient), a constant one, and what a real car did. The intake is
// never colder than the outside air. The interval is that of a further drive's
// mean: drives of an unchanged car differ.
//
// It fails as [Analysis.Predict] does, for the first drive that has no model,
// and where there is no drive.
func PredictFrom(c Condition, drives ...Analysis) (Prediction, error) {
	if len(drives) == 0 {
		return Prediction{}, fmt.Errorf("heat.PredictFrom: %w: no drive given", ErrNoModel)
	}
	if err := c.check(); err != nil {
		return Prediction{}, err
	}
	x, t, n := c.asked(), c.Ambient.Kelvin(), float64(len(drives))
	var rise, ambient []float64
	var own, way, carried, driven, offset float64
	for _, a := range drives {
		m := a.model
		if m.why != "" {
			return Prediction{}, fmt.Errorf("heat.Predict: drive %q: %w: %s", a.Drive, ErrNoModel, m.why)
		}
		value, variance, onWay := m.at(x)
		rise, ambient = append(rise, value), append(ambient, m.ambient)
		offset += m.offset(x) / n
		own += variance / n
		extra := m.stretched(value, x)
		own += extra * extra / n
		way += onWay / n
		carried += value / n
		driven += dayScatter(m.reference, m.flow*m.meanFlow) / n
	}
	// The drives' own days shifted what they saw at their speeds; the day asked
	// for shifts what happens at the condition.
	l := overAmbient(rise, ambient, t, driven)
	p := Prediction{of: subject{drives[0].Drive, "intake at another condition", drives[0].units}, units: drives[0].units}
	load := fmt.Sprintf("%.1f m/s and an air flow of %.2f held for %v", x.speed, x.flow, c.Held)
	probes := slices.Clone(drives[0].model.probes)
	for i := range probes {
		probes[i].Effect *= offset
	}
	p.contributions = slices.Concat(probes, l.contributions(t, driven, drives), []estimate.Contribution{
		{Source: sourceOf(estimate.ModelSpread, "the rise at "+load, drives), Effect: math.Sqrt(own)},
		{Source: sourceOf(estimate.Scatter, fmt.Sprintf(anotherDay+" at %.1f K, ", t)+load, drives), Effect: l.scatter * dayScatter(x.speed, x.flow) / driven},
	})
	half := normal * together(p.contributions)
	above := func(k float64) quantity.Temperature {
		return c.Ambient.Add(quantity.KelvinDifference(math.Max(0, k)))
	}
	p.Intake, p.Low, p.High = above(l.value), above(l.value-half), above(math.Max(l.value+half, 0.5))
	part := 0.0
	if carried > 0 {
		part = math.Min(1, way/carried)
	}
	p.PickedUp = quantity.KelvinDifference(math.Max(0, l.value) * part)
	p.Carried = quantity.KelvinDifference(math.Max(0, l.value) * (1 - part))
	p.Warnings = extrapolation(c, x.flow, drives)
	return p, nil
}

// anotherDay begins the name of what the day asked for does of its own.
const anotherDay = "another day,"

// sourceOf is a source that all predictions from the same drives share.
func sourceOf(kind estimate.SourceKind, what string, drives []Analysis) estimate.Source {
	names := make([]string, len(drives))
	for i, a := range drives {
		names[i] = fmt.Sprintf("%q", a.Drive)
	}
	return estimate.Source{Kind: kind, ID: what + ", drives " + strings.Join(names, ", ")}
}

// ChangeBetween predicts by how much the rise changes from one condition to
// another of the same outside air, from drives of one configuration, with its
// standard uncertainty. It knows more than the difference of two predictions
// does: what is open about the rise in both conditions alike (the level of a
// drive, its day, the probes) cancels. Of a constant error of the probes only that
// is counted which the fit takes for heat, and so grows where one load is heavier
// than the other. The error is that of
// [PredictFrom], and wraps [quantity.ErrOutOfRange] where the two are not of the same air.
func ChangeBetween(from, to Condition, drives ...Analysis) (change, uncertainty quantity.TemperatureDifference, err error) {
	if len(drives) == 0 {
		return 0, 0, fmt.Errorf("heat.ChangeBetween: %w: no drive given", ErrNoModel)
	}
	if from.Ambient != to.Ambient {
		return 0, 0, quantity.OutOfRange("heat.ChangeBetween", "ambient of the second condition", to.Ambient.Kelvin(), from.Ambient.Kelvin(), from.Ambient.Kelvin(), quantity.KindTemperature.Shown(), "it must be that of the first")
	}
	for _, c := range []Condition{from, to} {
		if err := c.check(); err != nil {
			return 0, 0, err
		}
	}
	x, y, n := from.asked(), to.asked(), float64(len(drives))
	sum, square, away, offset := 0.0, 0.0, 0.0, 0.0
	for _, a := range drives {
		m := a.model
		if m.why != "" {
			return 0, 0, fmt.Errorf("heat.ChangeBetween: drive %q: %w: %s", a.Drive, ErrNoModel, m.why)
		}
		value, variance := m.between(x, y)
		sum, square, away = sum+value/n, square+variance/n, away+(to.Ambient.Kelvin()-m.ambient)/n
		offset += (m.offset(y) - m.offset(x)) / n
	}
	probes := offset * together(drives[0].model.probes)
	// The change goes with the outside air as the rise does.
	return quantity.KelvinDifference(sum), quantity.KelvinDifference(math.Hypot(math.Hypot(math.Sqrt(square), probes), ambientlaw.Deviation*sum*away)), nil
}

// between is the change of the rise on the drive's own day: its value, and its
// variance over all shapes and beyond what the drive saw.
func (m model) between(x, y asked) (value, variance float64) {
	square, rise := 0.0, 0.0
	for _, f := range m.shapes {
		terms, base := m.terms(f.shape, y), m.terms(f.shape, x)
		rise += f.weight * f.at(terms)
		for i := range terms {
			terms[i] -= base[i]
		}
		v := f.at(terms)
		value += f.weight * v
		square += f.weight * (v*v + f.variance(terms))
	}
	// What is open beyond the drive grows along one way: both ends share it.
	extra := m.stretched(rise, y) - m.stretched(rise, x)
	return value, square - value*value + extra*extra
}

// asked is a condition in numbers, with what it leaves to be assumed filled in.
type asked struct {
	speed  float64 // m/s
	flow   float64 // over that at a steady 60 km/h
	cruise float64 // the flow before, over the same
	held   float64 // s; 0: until everything has settled
}

func (c Condition) asked() asked {
	speed := c.Speed.MetresPerSecond()
	return asked{
		speed:  speed,
		flow:   cmp.Or(c.Airflow, steadyAirflow(speed, c.Grade)),
		cruise: steadyAirflow(cmp.Or(c.Before, c.Speed).MetresPerSecond(), 0),
		held:   c.Held.Seconds(),
	}
}

// terms are those of a shape at a condition.
func (m model) terms(s shape, x asked) []float64 {
	return s.terms(state{x.speed, x.flow / m.flow, m.heat(s, x)}, m.reference)
}

// heat is the lagged flow of a shape at a condition.
func (m model) heat(s shape, x asked) float64 {
	after := math.Pow(x.flow/m.flow, s.power)
	if x.held == 0 {
		return after
	}
	cruise := math.Pow(x.cruise/m.flow, s.power)
	return after + (cruise-after)*math.Exp(-x.held/s.lag)
}

// check refuses conditions that no drive of a car could tell about.
func (c Condition) check() error {
	const function = "heat.Predict"
	low, high := quantity.Celsius(-50), quantity.Celsius(60)
	if !(c.Ambient.Kelvin() > low.Kelvin() && c.Ambient.Kelvin() < high.Kelvin()) {
		return quantity.OutOfRange(function, "ambient", c.Ambient.Kelvin(), low.Kelvin(), high.Kelvin(), quantity.KindTemperature.Shown(), "")
	}
	for _, v := range []quantity.Speed{c.Speed, c.Before} {
		if v := v.MetresPerSecond(); !(v >= 0 && v < 90) {
			return quantity.OutOfRange(function, "speed", v, 0, 90, quantity.KindSpeed.Shown(), "")
		}
	}
	if !(math.Abs(c.Grade) <= 0.3) {
		return quantity.OutOfRange(function, "grade", c.Grade, -0.3, 0.3, quantity.Unit{}, "rise over run: 4 % is 0.04")
	}
	if !(c.Airflow >= 0 && c.Airflow < 50) {
		return quantity.OutOfRange(function, "air flow", c.Airflow, 0, 50, quantity.Unit{}, "times that of a steady 60 km/h")
	}
	if c.Held < 0 {
		return quantity.OutOfRange(function, "time at that load", c.Held.Seconds(), 0, math.Inf(1), quantity.KindDuration.SI(), "")
	}
	return nil
}

// extrapolation says what lies outside all that the drives saw.
func extrapolation(c Condition, flow float64, drives []Analysis) (all []estimate.Warning) {
	add := func(format string, arguments ...any) {
		all = append(all, estimate.Warning{Kind: estimate.OutsideRange, Subject: drives[0].Drive, Text: fmt.Sprintf(format, arguments...)})
	}
	who, m, units := "the drive", drives[0].model, drives[0].units
	for _, a := range drives[1:] {
		who = "the drives"
		m.ambients = extent(append(m.ambients[:], a.model.ambients[:]...))
		m.speed = extent(append(m.speed[:], a.model.speed[:]...))
		m.most = math.Max(m.most, a.model.most)
	}
	if t := c.Ambient.Kelvin(); t < m.ambients[0]-2 || t > m.ambients[1]+2 {
		add("ambient %s, %s saw %s", units.Say(quantity.KindTemperature, "%.1f", c.Ambient.Kelvin()), who, units.Span(quantity.KindTemperature, "%.1f", m.ambients[0], m.ambients[1]))
	}
	if v := c.Speed.MetresPerSecond(); v < m.speed[0] || v > m.speed[1] {
		add("speed %s, %s had %s with a warm engine", units.Say(quantity.KindSpeed, "%.1f", c.Speed.MetresPerSecond()), who, units.Span(quantity.KindSpeed, "%.1f", m.speed[0], m.speed[1]))
	}
	if flow > m.most {
		add("air flow %.1f times that of a steady %s, the half-minutes of %s reached %.1f", flow, units.Say(quantity.KindSpeed, "%.0f", referenceSpeed), who, m.most)
	}
	if len(drives) == 1 && (c.Ambient.Kelvin() < m.ambients[0]-2 || c.Ambient.Kelvin() > m.ambients[1]+2) {
		all = append(all, estimate.Warning{Kind: Assumed, Subject: drives[0].Drive,
			Text: "how the rise follows the outside temperature: one drive can't tell; drives on a colder and a warmer day would"})
	}
	return all
}
