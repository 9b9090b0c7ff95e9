package segment

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/regression"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
	"github.com/bonnetbook/bonnetbook/pkg/warm"
)

// Split cuts the drive with the default rules. It looks for the thermostat's
// opening itself; where that fails no stretch is settled. It fails as
// [SplitAfter] does.
func Split(d *drive.Drive) ([]Segment, error) { return SplitWith(d, DefaultRules()) }

// SplitWith is [Split] with the given rules. It fails as [SplitAfter] does.
func SplitWith(d *drive.Drive, rules Rules) ([]Segment, error) {
	opening, err := thermostat.Find(d)
	if err != nil {
		opening = thermostat.Result{Drive: d.Name, Reason: err.Error()}
	}
	return SplitAfter(d, opening, rules)
}

// SplitAfter is [SplitWith] for an opening that is already known. Where the
// drive's owner says by what else the engine counts as warm
// ([drive.Drive.Warming]), package warm decides. The stretches
// are in order, without holes, and cover what any channel covers. It fails for
// a drive without a speed, with fewer than ten values of it, or with values
// that are no car's, and for rules that make no sense; the last two wrap
// [quantity.ErrOutOfRange].
func SplitAfter(d *drive.Drive, opening thermostat.Result, rules Rules) ([]Segment, error) {
	if err := rules.check(); err != nil {
		return nil, err
	}
	speed, err := d.Channel(drive.Speed)
	if err != nil {
		return nil, fmt.Errorf("segments need a speed: %w; add a phone's or receiver's file to the drive", err)
	}
	if speed.Present() < 10 {
		return nil, fmt.Errorf("drive %q: the speed channel has %d values; segments need at least 10", d.Name, speed.Present())
	}
	for i, v := range speed.Value {
		if v < -0.5 || v > 150 {
			return nil, quantity.OutOfRange("", fmt.Sprintf("drive %q: the speed at %.0f s,", d.Name, speed.Time[i]), v, 0, 150, quantity.KindSpeed.SI(), "check the unit")
		}
	}
	m := newMotion(d, speed, rules)
	if rules.learnt == nil {
		rules.learnt = learn([]*motion{m}, rules)
	} else {
		m.effort = rules.learnt.effort(m)
	}
	engine := warm.Of(d, opening)
	pieces := m.classify(rules)
	soaks := soakSpans(pieces, engine, rules)
	pieces = cutAt(pieces, engine, soaks)
	all := make([]Segment, 0, len(pieces))
	rise := intakeRise(d)
	for _, p := range pieces {
		s := m.measure(p)
		s.units = d.Units
		s.mark(engine, soaks, rise, m.span.From, rules)
		s.From, s.To = position(d, p.span.From), position(d, p.span.To)
		all = append(all, s)
	}
	return all, nil
}

// piece is a stretch of one kind before it is measured.
type piece struct {
	kind  Kind
	span  series.Interval
	basis string
	// stated says that the kind is the owner's word.
	stated bool
	likely float64 // that the throttle was open
}

// soakSpans returns when stored heat sits in the bay: long stops, and the time
// after them. A stop before the drive with a cold engine is none.
func soakSpans(pieces []piece, engine warm.State, rules Rules) []series.Interval {
	var spans []series.Interval
	for i, p := range pieces {
		cold := i == 0 && (engine.Outcome == warm.Became || engine.Outcome == warm.Never) && !(engine.At < p.span.To)
		if p.kind == Stopped && p.span.Duration() >= rules.SoakStop && !cold {
			spans = append(spans, series.Interval{From: p.span.From, To: p.span.To + rules.SoakAfter})
		}
	}
	return spans
}

// cutAt splits pieces where the engine gets warm, or an end of soak lies inside.
func cutAt(pieces []piece, engine warm.State, soaks []series.Interval) []piece {
	var cuts []float64
	if engine.Outcome == warm.Became {
		cuts = append(cuts, engine.At)
	}
	for _, s := range soaks {
		cuts = append(cuts, s.To)
	}
	slices.Sort(cuts)
	var all []piece
	for _, p := range pieces {
		for _, c := range cuts {
			if p.span.From < c && c < p.span.To {
				left := p
				left.span.To, p.span.From = c, c
				all = append(all, left)
			}
		}
		all = append(all, p)
	}
	return all
}

// intakeRise is what drift is judged on: the intake above ambient, or the
// intake alone; nil without an intake channel.
func intakeRise(d *drive.Drive) *series.Series {
	if d.Has(drive.Intake, drive.Ambient) {
		if s, err := d.Rise(drive.Intake); err == nil {
			return s
		}
	}
	s, err := d.Channel(drive.Intake)
	if err != nil {
		return nil
	}
	return s
}

// mark says what the stretch is worth; begin is that of the drive's record.
func (s *Segment) mark(engine warm.State, soaks []series.Interval, rise *series.Series, begin float64, rules Rules) {
	mid := (s.Interval.From + s.Interval.To) / 2
	isWarm, known := engine.IsWarm(mid)
	s.WarmUp = known && !isWarm
	s.TimeSinceOpening = math.NaN()
	if engine.Outcome == warm.Became && isWarm {
		s.TimeSinceOpening = mid - engine.At
	}
	for _, k := range soaks {
		s.HeatSoak = s.HeatSoak || k.Contains(mid)
	}
	s.Drift = slope(rise, s.Interval)
	switch {
	case s.Kind == Unknown:
		s.Unsettled = NoSpeed
	case !known:
		s.Unsettled = OpeningUnknown
	case s.WarmUp:
		s.Unsettled = WarmingUp
	case s.HeatSoak:
		s.Unsettled = Soaking
	case s.Kind == Stopped:
		s.Unsettled = AtRest
	case engine.Outcome == warm.Became && s.Interval.From < engine.Interval95.To+rules.SettleAfter,
		engine.Outcome == warm.AtStart && s.Interval.From < begin+rules.SettleAfter:
		s.Unsettled = TooSoon
	case s.Interval.Duration() < rules.least(s.Kind):
		s.Unsettled = TooShort
	case math.Abs(s.Drift) > rules.SettleDrift && s.Interval.Duration() >= driftTime:
		s.Unsettled = Drifting
	default:
		s.Settled = true
	}
	s.say(engine, rules)
}

// say puts into words why the stretch is not settled.
func (s *Segment) say(engine warm.State, rules Rules) {
	s.NotSettled = s.Unsettled.String()
	switch s.Unsettled {
	case TooSoon:
		s.NotSettled = fmt.Sprintf("less than %.0f s after the opening", rules.SettleAfter)
		switch {
		case engine.Outcome == warm.AtStart:
			s.NotSettled = fmt.Sprintf("less than %.0f s after a warm start", rules.SettleAfter)
		case engine.Basis != warm.ByThermostat:
			s.NotSettled = fmt.Sprintf("less than %.0f s after the engine counts as warm", rules.SettleAfter)
		}
	case Drifting:
		s.NotSettled = fmt.Sprintf("the intake drifts by %.1f K/min", 60*s.Drift)
	}
}

// driftTime is the shortest stretch in seconds whose drift says more than
// noise and traffic.
const driftTime = 60

// slope returns the least-squares slope over the interval, NaN for fewer than
// five values.
func slope(s *series.Series, v series.Interval) float64 {
	if s == nil {
		return math.NaN()
	}
	part := s.Slice(v)
	if part.Present() < 5 {
		return math.NaN()
	}
	since := make([]float64, len(part.Time))
	for i, t := range part.Time {
		since[i] = t - v.From
	}
	f, err := regression.LeastSquares(part.Value, [][]float64{regression.Ones(len(since)), since}, regression.DefaultOptions())
	if err != nil {
		return math.NaN()
	}
	return f.Coefficients[1]
}

func position(d *drive.Drive, t float64) *Position {
	if !d.Has(drive.Latitude, drive.Longitude) {
		return nil
	}
	lat := d.Channels[drive.Latitude].Series.Lookup(t, drive.MaxGap)
	lon := d.Channels[drive.Longitude].Series.Lookup(t, drive.MaxGap)
	if math.IsNaN(lat) || math.IsNaN(lon) {
		return nil
	}
	return &Position{quantity.Angle(lat) * quantity.Radian, quantity.Angle(lon) * quantity.Radian}
}
