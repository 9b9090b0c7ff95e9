package clock

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// What is taken for granted of several drives.
const (
	// severalStep is the grid of offsets in seconds; a drive's own is finer, and
	// the devices' delays are not known as well.
	severalStep = 1.0
	// agreeing is the log-likelihood, against no relation, from which on a drive
	// speaks for an offset.
	agreeing = 1.0
	// setAnew is the logarithm of the odds against a device's being set anew
	// before a drive: a judgement, one in twenty.
	setAnew = 3.0
	// driveScatter is the standard deviation in seconds by which what one drive
	// says differs from what the next does although nothing was touched: wind, how
	// warm the engine is, what the bank's models leave out. Each drive's
	// likelihood is widened by it. Drives of one campaign whose truth is known
	// scatter by 1 to 4 s (simulation of another author, see
	// TestClocksOfFolders of package campaign).
	driveScatter = 3.0
	// widestSearch bounds the offsets in seconds; files that lie further apart do
	// not belong to one drive.
	widestSearch = 200_000.0
)

// FromSeveral brings together what several drives say of the clock of one
// device beside that of another: one offset with a drift, the same in all of
// them. Drives that can't be told alone may be told so. It takes the profile of
// each drive, as a [Result] has it also where the error wraps [ErrUndecided].
//
// The likelihoods multiply: the noise of one drive is none of another's. Each
// drive may have no relation, with even odds, so that one of them can't rule an
// offset out. Drift has a normal prior with a 95 % interval of ±100 ppm. Each
// result holds at its drive, in the order of the profiles, and is the shortest
// interval that holds 95 % of the weight, with the delays that are common to all.
//
// A device that was set anew between drives has no such offset: the drives that
// an offset of their own explains better, by a Bayes factor of e^3, are left out,
// and their results are AsWritten.
//
// The error wraps [ErrUndecided] where fewer than two drives agree, or where
// they do not tell together either.
func FromSeveral(profiles []Profile, opts Options) ([]Result, error) {
	opts.Delay = math.Max(opts.Delay, math.Max(answerDelay, probeDelay))
	opts.MinEvidence = math.Max(opts.MinEvidence, answerEvidence)
	var all []*outing
	for i, p := range profiles {
		if d := newOuting(p); d != nil {
			d.index = i
			all = append(all, d)
		}
	}
	results := make([]Result, len(profiles))
	for i := range results {
		results[i] = Result{Method: AsWritten, Profile: profiles[i], Interval: series.Interval{From: math.Inf(-1), To: math.Inf(1)}}
	}
	for {
		if len(all) < 2 {
			return results, fmt.Errorf("%w: fewer than two drives say anything of one offset", ErrUndecided)
		}
		found, err := atEach(all, opts)
		if err != nil {
			return results, err
		}
		worst, by, agree := -1, setAnew, 0
		for k, d := range all {
			g := d.near(found[k])
			if d.alone-g > by {
				worst, by = k, d.alone-g
			}
			if g > agreeing {
				agree++
			}
		}
		if worst >= 0 {
			all = slices.Delete(all, worst, worst+1)
			continue
		}
		if agree < 2 {
			return results, fmt.Errorf("%w: fewer than two drives agree on an offset", ErrUndecided)
		}
		for k, d := range all {
			found[k].Drives = agree
			results[d.index] = found[k]
		}
		return results, nil
	}
}

// outing is what one drive says.
type outing struct {
	index  int
	at     time.Time
	from   float64   // of the grid
	g      []float64 // log-likelihood, half of it for no relation
	alone  float64   // the logarithm of their mean: what any offset explains
	length float64
}

// noRelation is what a drive says for an offset that it knows nothing of.
var noRelation = math.Log(0.5)

// newOuting puts a profile on the common grid; nil where it says nothing.
func newOuting(p Profile) *outing {
	if len(p.Offset) < 2 || p.At.IsZero() || !(p.Length > 0) {
		return nil
	}
	first, last := p.Offset[0], p.Offset[len(p.Offset)-1]
	if !(last-first < widestSearch) {
		return nil
	}
	const reach = 4 * driveScatter
	d := &outing{at: p.At, from: math.Floor((first-reach)/severalStep) * severalStep, length: p.Length}
	var offsets []float64
	for x := d.from; x <= last+reach+severalStep; x += severalStep {
		offsets = append(offsets, x)
	}
	s := series.Series{Time: p.Offset, Value: p.LogLikelihood}
	d.g = widened(s.Resample(offsets, 2*motionStep).Value, driveScatter/severalStep)
	for i, v := range d.g {
		d.g[i] = regression.LogMeanExp([]float64{v + p.Top, 0})
	}
	d.alone = sumExp(d.g) + math.Log(severalStep/math.Max(p.Length, severalStep*float64(len(d.g))))
	return d
}

// widened spreads likelihoods on an even grid, given by their logarithms, by a
// normal distribution of the given standard deviation in steps; NaN is none.
func widened(logL []float64, deviation float64) []float64 {
	reach := int(math.Ceil(4 * deviation))
	kernel := make([]float64, 2*reach+1)
	total := 0.0
	for k := range kernel {
		z := float64(k-reach) / deviation
		kernel[k] = math.Exp(-z * z / 2)
		total += kernel[k]
	}
	out := make([]float64, len(logL))
	for i, v := range logL {
		if math.IsNaN(v) {
			continue
		}
		v = math.Exp(v) / total
		for k := max(0, reach-i); k < min(len(kernel), len(out)+reach-i); k++ {
			out[i+k-reach] += v * kernel[k]
		}
	}
	for i, v := range out {
		out[i] = math.Log(v)
	}
	return out
}

// says is the log-likelihood of an offset.
func (d *outing) says(offset float64) float64 {
	i := int(math.Round((offset - d.from) / severalStep))
	if i < 0 || i >= len(d.g) {
		return noRelation
	}
	return d.g[i]
}

// near is the best that the drive says within the interval of a result.
func (d *outing) near(r Result) float64 {
	best := noRelation
	for x := r.Interval.From; x <= r.Interval.To; x += severalStep {
		best = math.Max(best, d.says(x))
	}
	return best
}

// joint is what drives say together of an offset at one instant and of a drift.
type joint struct {
	all    []*outing
	ref    time.Time // the instant at which the offsets hold
	low    float64   // the first offset
	length float64   // of the longest range of a drive
	drifts []float64
	prior  []float64
	table  [][]float64 // log-likelihood with the drift's prior, of each offset, by drift
}

// newJoint multiplies what the drives say, once for all of them.
func newJoint(all []*outing) (*joint, error) {
	first, last := all[0].at, all[0].at
	for _, d := range all {
		if d.at.Before(first) {
			first = d.at
		}
		if d.at.After(last) {
			last = d.at
		}
	}
	j := &joint{all: all, ref: first.Add(last.Sub(first) / 2)}
	low, high := math.Inf(1), math.Inf(-1)
	for _, d := range all {
		reach := driftPrior * math.Abs(j.since(d))
		low, high = math.Min(low, d.from-reach), math.Max(high, d.from+severalStep*float64(len(d.g))+reach)
		j.length = math.Max(j.length, d.length)
	}
	if high-low > widestSearch {
		return nil, fmt.Errorf("%w: the drives' files lie %.0f h apart", ErrUndecided, (high-low)/3600)
	}
	j.low = math.Floor(low)
	j.drifts, j.prior = driftGrid(last.Sub(first).Seconds())
	for x := j.low; x <= high; x += severalStep {
		column := slices.Clone(j.prior)
		for i, rate := range j.drifts {
			for _, d := range all {
				column[i] += d.says(x + rate*j.since(d))
			}
		}
		j.table = append(j.table, column)
	}
	return j, nil
}

func (j *joint) since(d *outing) float64 { return d.at.Sub(j.ref).Seconds() }

// weights are those of each drift over all offsets.
func (j *joint) weights() []float64 {
	best := math.Inf(-1)
	for _, column := range j.table {
		best = math.Max(best, slices.Max(column))
	}
	weight := make([]float64, len(j.drifts))
	for _, column := range j.table {
		for i, g := range column {
			weight[i] += math.Exp(g - best)
		}
	}
	return weight
}

// at returns the offset at a drive: each pair of offset and drift leads there from
// the common instant.
func (j *joint) at(d *outing, opts Options) (Result, error) {
	since := j.since(d)
	reach := math.Ceil(math.Abs(since) * slices.Max(j.drifts))
	silent := float64(len(j.all)) * noRelation
	var offset, logL []float64
	column := make([]float64, len(j.drifts))
	for x := j.low - reach; x <= j.low+reach+severalStep*float64(len(j.table)-1); x += severalStep {
		for i, rate := range j.drifts {
			k := int(math.Round((x - rate*since - j.low) / severalStep))
			if k < 0 || k >= len(j.table) {
				column[i] = j.prior[i] + silent
			} else {
				column[i] = j.table[k][i]
			}
		}
		offset, logL = append(offset, x), append(logL, sumExp(column))
	}
	r, err := weigh(offset, logL, j.length, opts, Result{Method: SeveralDrives, Origin: d.at})
	if err != nil {
		return r, err
	}
	if r, err = r.judged(opts); err != nil {
		return r, err
	}
	if r.IsAmbiguous() {
		return r, fmt.Errorf("%w: together the drives allow %s and %s", ErrUndecided, signed(r.Offset), signed(r.Alternatives[0].Offset))
	}
	return r, nil
}

// atEach returns the common offset at each of the drives.
func atEach(all []*outing, opts Options) ([]Result, error) {
	j, err := newJoint(all)
	if err != nil {
		return nil, err
	}
	weight := j.weights()
	out := make([]Result, len(all))
	for k, d := range all {
		r, err := j.at(d, opts)
		if err != nil {
			return nil, err
		}
		out[k] = r.withDrift(j.drifts, weight)
	}
	return out, nil
}

// driftGrid lists the drifts that matter over a span in seconds, and the
// logarithms of their shares beforehand.
func driftGrid(span float64) (drifts, prior []float64) {
	const reach, most = 1.6, 401
	n := 1 + 2*int(math.Min((most-1)/2, math.Ceil(reach*driftPrior*span/severalStep)))
	total := 0.0
	for j := range n {
		z := 0.0
		if n > 1 {
			z = reach * (2*float64(j)/float64(n-1) - 1)
		}
		drifts = append(drifts, z*driftPrior)
		p := math.Exp(-z * z * normal * normal / 2)
		prior = append(prior, p)
		total += p
	}
	for j, p := range prior {
		prior[j] = math.Log(p / total)
	}
	return drifts, prior
}

// withDrift adds the drift where the drives say more of it than what is known of
// quartz.
func (r Result) withDrift(drifts, weight []float64) Result {
	total, mean, second := 0.0, 0.0, 0.0
	for j, w := range weight {
		total += w
		mean += w * drifts[j]
		second += w * drifts[j] * drifts[j]
	}
	mean /= total
	half := normal * math.Sqrt(math.Max(0, second/total-mean*mean))
	if len(drifts) < 3 || half > driftPrior/2 {
		return r
	}
	half = math.Max(half, math.Abs(drifts[1]-drifts[0])/2)
	r.Drift, r.DriftEstimated = mean, true
	r.DriftInterval = series.Interval{From: mean - half, To: mean + half}
	return r
}

// sumExp returns the logarithm of the sum of exponentials.
func sumExp(x []float64) float64 {
	return regression.LogMeanExp(x) + math.Log(float64(len(x)))
}

// middle is the instant in the middle of the longest of a recording's channels.
func middle(channels []Channel) time.Time {
	longest := slices.MaxFunc(channels, func(a, b Channel) int {
		return cmp.Compare(a.Series.Interval().Duration(), b.Series.Interval().Duration())
	})
	v := longest.Series.Interval()
	return longest.Series.Start.Add(seconds((v.From + v.To) / 2))
}
