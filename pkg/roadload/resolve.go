package roadload

import (
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"gonum.org/v1/gonum/stat/distuv"
)

// Experiment is a planned comparison of two configurations by full-throttle
// pulls over an interval of speed in one gear, in both directions.
type Experiment struct {
	Vehicle Vehicle
	Load    RoadLoad
	// WheelPower is the mean full-throttle power at the wheels in the interval.
	WheelPower quantity.Power
	From, To   quantity.Speed
	// PairsPerConfiguration is the number of pulls in each direction.
	PairsPerConfiguration int
	// SampleInterval in s, 1 if zero; SpeedNoise in m/s, 0.2 if zero, as in
	// [IntervalOptions].
	SampleInterval, SpeedNoise float64
	// NoiseMemory is for how long a receiver's error lasts, in s: it falls to a
	// third in that time. NaN is none, zero takes 2, a guess for receivers that
	// smooth. Errors that last do not average out between two samples; that they
	// did cost a tenth of the detections promised. A lag of the receiver moves
	// both ends of the interval nearly alike and is not modelled.
	NoiseMemory float64
	// WindChange is the standard deviation of the headwind from pull to pull,
	// m/s; NaN is none, zero takes 0.7. PullChange is the relative standard
	// deviation of power from pull to pull by engine temperature and foot; NaN
	// is none, zero takes 0.01. Both are guesses of common practice; repeat
	// pulls tell them.
	WindChange, PullChange float64
	// Confidence and Detection are the level of the test, 0.95 if zero, and
	// the probability of seeing a change that is there, 0.8 if zero.
	Confidence, Detection float64
}

func (e Experiment) prepared() (Experiment, error) {
	if _, _, err := e.Vehicle.effective("Experiment"); err != nil {
		return e, err
	}
	if err := e.Load.check("Experiment"); err != nil {
		return e, err
	}
	for _, d := range []struct {
		x     *float64
		value float64
	}{{&e.SampleInterval, 1}, {&e.SpeedNoise, 0.2}, {&e.NoiseMemory, 2}, {&e.WindChange, 0.7}, {&e.PullChange, 0.01}, {&e.Confidence, 0.95}, {&e.Detection, 0.8}} {
		if *d.x == 0 {
			*d.x = d.value
		}
	}
	for _, none := range []*float64{&e.NoiseMemory, &e.WindChange, &e.PullChange} {
		if math.IsNaN(*none) {
			*none = 0
		}
	}
	if !(e.From > 1 && e.To > e.From && e.To <= 70) {
		return e, rangeError("Experiment", fmt.Sprintf("interval from %v to", e.From), float64(e.To), 1, 70, quantity.KindSpeed.Shown(), "both in that range and ascending")
	}
	if err := inRanges("Experiment", []bounded{
		{"wheel power", float64(e.WheelPower), 2e3, 500e3, quantity.KindPower.SI(), "kilowatts are quantity.Kilowatt"},
		{"pairs per configuration", float64(e.PairsPerConfiguration), 1, 1000, plain, ""},
		{"sample interval", e.SampleInterval, 0.01, 5, quantity.KindDuration.SI(), ""},
		{"speed noise", e.SpeedNoise, 0, 5, quantity.KindSpeed.SI(), ""},
		{"memory of the noise", e.NoiseMemory, 0, 60, quantity.KindDuration.SI(), ""},
		{"change of wind", e.WindChange, 0, 10, quantity.KindSpeed.SI(), ""},
		{"change from pull to pull", e.PullChange, 0, 0.3, plain, "0.01 means 1 %"},
		{"confidence", e.Confidence, 0.5, 0.9999, plain, ""},
		{"detection", e.Detection, 0.5, 0.9999, plain, ""},
	}); err != nil {
		return e, err
	}
	if t, _ := e.time(1, 0); !(t < 300) {
		return e, rangeError("Experiment", fmt.Sprintf("time to %v with %v at the wheels", e.To, e.WheelPower), t, 0, 300, quantity.KindDuration.SI(), "the road load holds it back")
	}
	return e, nil
}

// time returns the time over the interval at constant wheel power times scale
// in headwind w, and the speeds at steps of h from a little before to a little
// after it.
//
//	t = ∫ M_e·v/(P − (F0 + F1·v + F2·(v + w)²)·v) dv, by Simpson's rule
func (e Experiment) time(scale, w float64) (float64, func(v float64) float64) {
	_, me, _ := e.Vehicle.effective("Experiment")
	acceleration := func(v float64) float64 {
		force := e.Load.F0 + e.Load.F1*v + e.Load.F2*(v+w)*math.Abs(v+w)
		return (float64(e.WheelPower)*scale/v - force) / me
	}
	const n = 200
	a, b := float64(e.From), float64(e.To)
	sum := 0.0
	for i := range n + 1 {
		weight := 4.0
		switch {
		case i == 0 || i == n:
			weight = 1
		case i%2 == 0:
			weight = 2
		}
		x := acceleration(a + (b-a)*float64(i)/n)
		if x <= 0 {
			return math.Inf(1), acceleration
		}
		sum += weight / x
	}
	return sum * (b - a) / n / 3, acceleration
}

// Resolution says what an experiment can see.
type Resolution struct {
	Experiment Experiment
	// Time is that of one pull in s.
	Time float64
	// Sensitivity is the relative change of time per relative change of power,
	// about −1 to −1.5: part of the power goes into the road load.
	Sensitivity float64
	// FromTrace, FromWind and FromPull are the parts of the relative standard
	// deviation of one pull's time; Single is their sum in squares, Pair that of
	// the mean of both directions.
	FromTrace, FromWind, FromPull, Single, Pair float64
	// Smallest is the smallest relative change of wheel power that the
	// experiment detects with the wanted probability.
	Smallest float64
	// PairsFor gives the pairs per configuration needed to see changes of 1, 2,
	// 3, 5 and 10 %.
	PairsFor map[int]int
}

// Resolve returns what the experiment can see. The scatter of one pull's time
// that comes from the trace is simulated: pulls of the equation of motion are
// sampled at the given interval with noise and evaluated by [TimesOver], 2000
// times with a fixed seed. Wind and pull-to-pull scatter enter by the computed
// sensitivities of time; a steady wind cancels over the two directions to first
// order and is not counted. The smallest change is that of a two-sided t test
// of two configurations of n pairs:
//
//	Δ = (t_{(1+confidence)/2, 2n−2} + t_{detection, 2n−2})·s_pair·√(2/n)
//
// One pair per configuration has no scatter of its own: Smallest is +Inf. It
// fails, wrapping [ErrOutOfRange], for an experiment that can't be made.
func (e Experiment) Resolve() (Resolution, error) {
	e, err := e.prepared()
	if err != nil {
		return Resolution{Smallest: math.NaN()}, err
	}
	r := Resolution{Experiment: e, PairsFor: map[int]int{}}
	r.Time, _ = e.time(1, 0)
	up, _ := e.time(1.01, 0)
	down, _ := e.time(0.99, 0)
	r.Sensitivity = (up - down) / (0.02 * r.Time)
	against, _ := e.time(1, 0.5)
	with, _ := e.time(1, -0.5)
	r.FromWind = math.Abs(against-with) / r.Time * e.WindChange
	r.FromPull = math.Abs(r.Sensitivity) * e.PullChange
	if r.FromTrace, err = e.simulateTrace(r.Time); err != nil {
		return r, err
	}
	r.Single = math.Sqrt(r.FromTrace*r.FromTrace + r.FromWind*r.FromWind + r.FromPull*r.FromPull)
	r.Pair = r.Single / math.Sqrt2
	r.Smallest = smallestChange(r.Pair, e.PairsPerConfiguration, e.Confidence, e.Detection) / math.Abs(r.Sensitivity)
	for _, percent := range []int{1, 2, 3, 5, 10} {
		n := 2
		for n < 1000 && smallestChange(r.Pair, n, e.Confidence, e.Detection)/math.Abs(r.Sensitivity) > float64(percent)/100 {
			n++
		}
		r.PairsFor[percent] = n
	}
	return r, nil
}

// smallestChange is the smallest difference of two means of n values of
// standard deviation s that a two-sided t test detects.
func smallestChange(s float64, n int, confidence, detection float64) float64 {
	if n < 2 {
		return math.Inf(1)
	}
	t := distuv.StudentsT{Sigma: 1, Nu: float64(2*n - 2)}
	return (t.Quantile((1+confidence)/2) + t.Quantile(detection)) * s * math.Sqrt(2/float64(n))
}

// simulateTrace returns the relative standard deviation of the time over the
// interval that sampling and noise cause.
func (e Experiment) simulateTrace(time float64) (float64, error) {
	const pulls = 2000
	clean, step := e.cleanPull()
	rng := rand.New(rand.NewPCG(20, 26))
	sum, squares, seen := 0.0, 0.0, 0
	for range pulls {
		s := e.sampled(clean, step, rng)
		found, err := TimesOver(s, e.From, e.To, IntervalOptions{SpeedNoise: math.Max(e.SpeedNoise, 1e-9), Gap: 3 * e.SampleInterval, Dip: 0.5 + 5*e.SpeedNoise})
		if err != nil {
			return math.NaN(), err
		}
		if len(found) == 0 {
			continue
		}
		x := found[0].Time.X/time - 1
		sum += x
		squares += x * x
		seen++
	}
	if seen < pulls/2 {
		return math.NaN(), fmt.Errorf("roadload.Experiment: only %d of %d simulated pulls could be read from a trace every %g s: the interval is too short for this logger: %w", seen, pulls, e.SampleInterval, ErrTooFew)
	}
	n := float64(seen)
	return math.Sqrt(math.Max(0, squares-sum*sum/n) / (n - 1)), nil
}

// cleanPull returns speeds every step seconds from well below From to beyond
// To, integrated with small steps.
func (e Experiment) cleanPull() (speeds []float64, step float64) {
	step = math.Min(0.02, e.SampleInterval/10)
	_, acceleration := e.time(1, 0)
	v := math.Max(0.7*float64(e.From), 1)
	for margin := 0.0; margin < 3*e.SampleInterval && len(speeds) < 1_000_000; {
		speeds = append(speeds, v)
		mid := v + step/2*acceleration(v)
		v += step * acceleration(mid)
		if v > float64(e.To) {
			margin += step
		}
	}
	return speeds, step
}

// sampled returns one noisy trace with a random phase of the sampling.
func (e Experiment) sampled(clean []float64, step float64, rng *rand.Rand) *series.Series {
	stride := e.SampleInterval / step
	keep := 0.0
	if e.NoiseMemory > 0 {
		keep = math.Exp(-e.SampleInterval / e.NoiseMemory)
	}
	var t, v []float64
	noise := rng.NormFloat64()
	for x := rng.Float64() * stride; int(x)+1 < len(clean); x += stride {
		i := int(x)
		w := x - float64(i)
		t = append(t, x*step)
		v = append(v, (1-w)*clean[i]+w*clean[i+1]+e.SpeedNoise*noise)
		noise = keep*noise + math.Sqrt(1-keep*keep)*rng.NormFloat64()
	}
	return &series.Series{Name: "simulated speed", Dimension: series.Speed, Time: t, Value: v}
}

// String says it in a sentence.
func (r Resolution) String() string {
	n := r.Experiment.PairsPerConfiguration
	s := fmt.Sprintf("%v to %v takes %.1f s; one pull scatters by %.1f %% (trace %.1f, wind %.1f, pull to pull %.1f). ",
		r.Experiment.From, r.Experiment.To, r.Time, 100*r.Single, 100*r.FromTrace, 100*r.FromWind, 100*r.FromPull)
	if math.IsInf(r.Smallest, 1) {
		return s + "One pull each way shows nothing: there is no scatter to judge by."
	}
	would, not := 0, 0
	for _, p := range []int{1, 2, 3, 5, 10} {
		if float64(p)/100 < r.Smallest {
			not = p
		} else if would == 0 {
			would = p
		}
	}
	s += fmt.Sprintf("With %d pulls each way per configuration the smallest change of power seen is %.1f %%: ", n, 100*r.Smallest)
	switch {
	case would == 0:
		s += "you would not even see 10 %."
	case not == 0:
		s += "you would see 1 %."
	default:
		s += fmt.Sprintf("you would see %d %%, not %d %%.", would, not)
	}
	if not > 0 {
		if k := r.PairsFor[not]; k >= 1000 {
			s += fmt.Sprintf(" For %d %% a thousand would not do.", not)
		} else {
			s += fmt.Sprintf(" For %d %% you need %d each way.", not, k)
		}
	}
	return s
}
