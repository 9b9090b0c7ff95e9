package heat

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// profile tries time constants and keeps the residual sum of each; the
// interval is where it is not worse than chance, −2·Δln L < 3.84, with the
// readings counted as the independent ones that they are worth.
type profile struct {
	tau, rss  []float64
	effective float64
}

func (p *profile) estimate(name string, count int) Estimate {
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
		return no(name, "s", "the readings only say that it is below %.0f s", p.tau[hi])
	}
	if lo == 0 || hi == len(p.tau)-1 {
		return no(name, "s", "the readings allow any value from %.0f to %.0f s", p.tau[lo], p.tau[hi])
	}
	return Estimate{Name: name, Unit: "s", Value: p.tau[best], Low: p.tau[lo], High: p.tau[hi], Identifiable: true, Count: count}
}

// bay estimates how fast the intake follows what speed does to the bay.
func (a *Analysis) bay(d *drive.Drive, opening thermostat.Result, segments []segment.Segment) {
	const name = "bay time constant"
	from := math.NaN()
	switch opening.Outcome {
	case thermostat.Opened:
		from = opening.Onset + 180
	case thermostat.AlreadyOpen, thermostat.StuckOpen:
		from = d.Interval().From + 60
	default:
		a.BayTimeConstant = no(name, "s", "it is not known when the radiator was hot")
		return
	}
	rise, err := d.Rise(drive.Intake)
	if err != nil {
		a.BayTimeConstant = no(name, "s", "%v", err)
		return
	}
	speed, err := d.Channel(drive.Speed)
	if err != nil {
		a.BayTimeConstant = no(name, "s", "no speed")
		return
	}
	// Engine-off stops follow other laws: leave long stops out.
	var y, draught, at []float64
	grid := series.Grid(series.Interval{From: from, To: rise.Interval().To}, math.Max(4, rise.Step()))
	r, v := rise.Resample(grid, drive.MaxGap), speed.Resample(grid, drive.MaxGap)
	use := make([]bool, len(grid))
	for i := range grid {
		use[i] = !math.IsNaN(r.Value[i]) && !math.IsNaN(v.Value[i])
	}
	for _, s := range segments {
		if s.Kind == segment.Stopped && s.Interval.Duration() > 60 {
			for i, t := range grid {
				use[i] = use[i] && !(t >= s.Interval.From && t < s.Interval.To+120)
			}
		}
	}
	for i := range grid {
		x := v.Value[i]
		if math.IsNaN(x) {
			x = 0
		}
		y, draught, at = append(y, r.Value[i]), append(draught, 1/(1+math.Max(0, x)/5)), append(at, grid[i]-from)
	}
	if len(y) < 60 || deviation(draught) < 0.03 {
		a.BayTimeConstant = no(name, "s", "the speed hardly varied after the opening")
		return
	}
	var p profile
	for tau := 4.0; tau < 900; tau *= 1.06 {
		f := filtered(draught, at, tau)
		var ys, fs, ts []float64
		for i := range y {
			if use[i] {
				ys, fs, ts = append(ys, y[i]), append(fs, f[i]), append(ts, at[i])
			}
		}
		g, ok := regress(ys, constant(len(ys)), fs, ts)
		if !ok {
			continue
		}
		p.tau = append(p.tau, tau)
		p.rss = append(p.rss, g.RSS)
		if last := len(p.rss) - 1; p.rss[last] <= least(p.rss) {
			p.effective = g.EffectiveRows
		}
	}
	if len(p.tau) < 3 {
		a.BayTimeConstant = no(name, "s", "too little driving after the opening")
		return
	}
	a.BayTimeConstant = p.estimate(name, int(p.effective))
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
	const name, nameTau = "heat soak in a stop", "heat soak time constant"
	rise, err := d.Rise(drive.Intake)
	if err != nil {
		a.HeatSoak, a.SoakTimeConstant = no(name, "K", "%v", err), no(nameTau, "s", "%v", err)
		return
	}
	var gains []float64
	var longest *series.Series
	for _, s := range segments {
		open, known := opening.IsOpen(s.Interval.From)
		if s.Kind != segment.Stopped || s.Interval.Duration() < 45 || !open || !known {
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
		a.HeatSoak, a.SoakTimeConstant = no(name, "K", "%s", reason), no(nameTau, "s", "%s", reason)
		return
	}
	p, fit := relax(longest)
	a.SoakTimeConstant = p.estimate(nameTau, 1)
	switch {
	case len(gains) >= 2:
		m := mean(gains)
		half := deviation(gains) / math.Sqrt(float64(len(gains))) * studentQuantile(len(gains)-1)
		a.HeatSoak = Estimate{Name: name, Unit: "K", Value: m, Low: m - half, High: m + half, Identifiable: true, Count: len(gains)}
	default:
		a.HeatSoak = Estimate{Name: name, Unit: "K", Value: gains[0], Low: gains[0] - 2*fit, High: gains[0] + 2*fit, Identifiable: true, Count: 1}
		a.Warnings = append(a.Warnings, "heat soak rests on one stop: its interval is that of the readings, other stops will differ by more")
	}
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
