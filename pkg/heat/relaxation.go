package heat

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
	"github.com/bonnetbook/bonnetbook/pkg/warm"
)

// profile tries time constants and keeps the residual sum of each; the
// interval is where it is not worse than chance, −2·Δln L < 3.84, with the
// readings counted as the independent ones that they are worth.
type profile struct {
	tau, rss  []float64
	effective float64
}

func (p *profile) estimate(s subject, count int) Estimate {
	best := 0
	for i, r := range p.rss {
		if r < p.rss[best] {
			best = i
		}
	}
	// One step to either side is the grid's own resolution.
	lo, hi := max(0, best-1), min(len(p.tau)-1, best+1)
	ok := func(i int) bool { return p.effective*math.Log(p.rss[i]/p.rss[best]) < 3.84 }
	for lo > 0 && ok(lo-1) {
		lo--
	}
	for hi+1 < len(p.tau) && ok(hi+1) {
		hi++
	}
	if lo == 0 && hi < len(p.tau)-1 {
		return s.unknown(seconds, "the readings only say that it is below %.0f s", p.tau[hi])
	}
	if lo == 0 || hi == len(p.tau)-1 {
		return s.unknown(seconds, "the readings allow any value from %.0f to %.0f s", p.tau[lo], p.tau[hi])
	}
	e := estimate.Between(s.name, p.tau[best], seconds, estimate.Interval{Low: p.tau[lo], High: p.tau[hi], Level: level}, estimate.Likelihood, math.NaN())
	e.Count, e.Contributions = count, []estimate.Contribution{s.scatter((p.tau[hi]-p.tau[lo])/2/normal, 0)}
	return e
}

// bay estimates how fast the intake follows what speed does to the bay.
func (a *Analysis) bay(d *drive.Drive, opening thermostat.Result, segments []segment.Segment) {
	a.BayTimeConstant = bayTimeConstant(a.of(nameBay), d, opening, segments)
}

func bayTimeConstant(s subject, d *drive.Drive, opening thermostat.Result, segments []segment.Segment) Estimate {
	var from float64
	switch engine := warm.Of(d, opening); engine.Outcome {
	case warm.Became:
		from = engine.At + 180
	case warm.AtStart:
		from = d.Interval().From + 60
	default:
		return s.unknown(seconds, "it is not known when the engine was warm")
	}
	rise, err := d.Rise(drive.Intake)
	if err != nil {
		return s.unknown(seconds, "%v", err)
	}
	speed, err := d.Channel(drive.Speed)
	if err != nil {
		return s.unknown(seconds, "no speed")
	}
	r := newRelaxing(rise, speed, from)
	r.leaveOut(segments)
	if len(r.rise) < 60 || deviation(r.draught) < 0.03 {
		return s.unknown(seconds, "the speed hardly varied once the engine was warm")
	}
	p := r.profile()
	if len(p.tau) < 3 {
		return s.unknown(seconds, "too little driving with a warm engine")
	}
	return p.estimate(s, int(p.effective))
}

// relaxing is the intake's rise on an even grid beside what speed does to the
// bay.
type relaxing struct {
	from          float64 // s, drive time
	at            []float64
	rise, draught []float64
	use           []bool
}

func newRelaxing(rise, speed *series.Series, from float64) *relaxing {
	grid := series.Grid(series.Interval{From: from, To: rise.Interval().To}, math.Max(4, rise.Step()))
	y, v := rise.Resample(grid, drive.MaxGap), speed.Resample(grid, drive.MaxGap)
	r := &relaxing{from: from, rise: y.Value, use: make([]bool, len(grid))}
	for i, t := range grid {
		x := v.Value[i]
		r.use[i] = !math.IsNaN(y.Value[i]) && !math.IsNaN(x)
		if math.IsNaN(x) {
			x = 0
		}
		r.at, r.draught = append(r.at, t-from), append(r.draught, 1/(1+math.Max(0, x)/5))
	}
	return r
}

// leaveOut drops long stops and the time after them: with the engine off the
// bay follows other laws.
func (r *relaxing) leaveOut(segments []segment.Segment) {
	for _, s := range segments {
		if s.Kind != segment.Stopped || s.Interval.Duration() <= 60 {
			continue
		}
		for i, t := range r.at {
			if t += r.from; t >= s.Interval.From && t < s.Interval.To+120 {
				r.use[i] = false
			}
		}
	}
}

func (r *relaxing) profile() profile {
	var p profile
	for tau := 4.0; tau < 900; tau *= 1.06 {
		f := filtered(r.draught, r.at, tau)
		var ys, fs, ts []float64
		for i, use := range r.use {
			if use {
				ys, fs, ts = append(ys, r.rise[i]), append(fs, f[i]), append(ts, r.at[i])
			}
		}
		g, ok := regress(ys, constant(len(ys)), fs, ts)
		if !ok {
			continue
		}
		p.tau, p.rss = append(p.tau, tau), append(p.rss, g.RSS)
		if g.RSS <= least(p.rss) {
			p.effective = g.EffectiveRows
		}
	}
	return p
}

func least(x []float64) float64 {
	m := math.Inf(1)
	for _, v := range x {
		m = math.Min(m, v)
	}
	return m
}

// filtered passes x through a first-order lag.
func filtered(x, t []float64, tau float64) []float64 {
	y := make([]float64, len(x))
	y[0] = x[0]
	for i := 1; i < len(x); i++ {
		y[i] = y[i-1] - math.Expm1(-(t[i]-t[i-1])/tau)*(x[i]-y[i-1])
	}
	return y
}

// soak estimates the rise during stops with a hot engine.
func (a *Analysis) soak(d *drive.Drive, opening thermostat.Result, segments []segment.Segment) {
	soaked, soakTime := a.of(nameSoak), a.of(nameSoakTime)
	rise, err := d.Rise(drive.Intake)
	if err != nil {
		a.HeatSoak, a.SoakTimeConstant = soaked.unknown(kelvin, "%v", err), soakTime.unknown(seconds, "%v", err)
		return
	}
	var gains []float64
	var longest *series.Series
	engine := warm.Of(d, opening)
	for _, s := range segments {
		hot, _ := engine.IsWarm(s.Interval.From)
		if s.Kind != segment.Stopped || s.Interval.Duration() < 45 || !hot {
			continue
		}
		part := rise.Slice(s.Interval)
		if part.Present() < 8 {
			continue
		}
		from := part.Median(series.Interval{From: s.Interval.From, To: s.Interval.From + 8})
		_, top := part.Smooth(10, drive.MaxGap).MinMax(s.Interval)
		gains = append(gains, top-from)
		if longest == nil || part.Interval().Duration() > longest.Interval().Duration() {
			longest = part
		}
	}
	if len(gains) == 0 {
		reason := "no stop of 45 s or more with a hot engine"
		a.HeatSoak, a.SoakTimeConstant = soaked.unknown(kelvin, "%s", reason), soakTime.unknown(seconds, "%s", reason)
		return
	}
	p, fit := relax(longest)
	a.SoakTimeConstant = p.estimate(soakTime, 1)
	n := len(gains)
	if n == 1 {
		a.HeatSoak = soaked.within(gains[0], 2*fit, kelvin, 0, n)
		a.warn(estimate.FewData, "heat soak rests on one stop: its interval is that of the readings, other stops will differ by more")
		return
	}
	half := deviation(gains) / math.Sqrt(float64(n)) * studentQuantile(float64(n-1))
	a.HeatSoak = soaked.within(mean(gains), half, kelvin, float64(n-1), n)
}

// relax profiles c·(1 − exp(−t/τ)) over a stop and returns the residual
// scatter of the best.
func relax(s *series.Series) (profile, float64) {
	var t, y []float64
	for i, v := range s.Value {
		if !math.IsNaN(v) {
			t, y = append(t, s.Time[i]-s.Time[0]), append(y, v)
		}
	}
	var p profile
	sigma := math.Inf(1)
	for tau := 5.0; tau < 2000; tau *= 1.02 {
		f := make([]float64, len(t))
		for i := range f {
			f[i] = -math.Expm1(-t[i] / tau)
		}
		g, ok := regress(y, constant(len(y)), f)
		if !ok {
			continue
		}
		p.tau = append(p.tau, tau)
		p.rss = append(p.rss, g.Sigma*g.Sigma+1e-9)
		if g.Sigma < sigma {
			sigma, p.effective = g.Sigma, g.EffectiveRows
		}
	}
	return p, sigma
}
