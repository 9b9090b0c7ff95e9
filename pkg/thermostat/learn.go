package thermostat

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Own is a car's own opening temperature, as the coolant's probe reads it. That
// need not be what is stamped on the thermostat: probes sit before or behind
// it, in the stream or on metal.
type Own struct {
	// Temperature is the coolant's reading at the onset, over the drives; its
	// interval is that of the mean. Unknown, with the reason, for too few.
	Temperature estimate.Estimate
	// Scatter is the standard deviation between drives.
	Scatter quantity.TemperatureDifference
	// Drives names those that the temperature rests on, Outliers those whose
	// reading lies far from it, Redecided those whose answer it changed.
	Drives, Outliers, Redecided []string
}

// OtherTemperature is the kind of warning about an opening that reads far from
// the others of the same car.
const OtherTemperature estimate.Kind = "other opening temperature"

// Bounds of what is learned. A thermostat starts within 2 K of its stamp
// (workshop limits); where the probe sits adds to that (judgement: 6 K in all).
const (
	leastDrives  = 3   // without a stamp
	stampSD      = 6.0 // K
	typicalSD    = 2.0 // K between drives, weighed as three drives
	outlierSD    = 3.5
	outlierLeast = 4.0 // K
)

// Learn takes the answers of one car's drives together: the coolant at the
// onset reads much the same each time, so that an opening far from the others
// is none, and a doubtful bend near them is one. It returns the car's own
// temperature and the answers, in the order of the drives, those looked at
// again among them. results are those of [FindWith] with the same rules, one
// for each drive; stamp is the temperature stamped on the thermostat, the zero Temperature if it
// is not known.
//
// It fails where there are not as many results as drives, and as [FindWith]
// does for rules out of range.
func Learn(drives []*drive.Drive, results []Result, stamp quantity.Temperature, rules Rules) (Own, []Result, error) {
	own := Own{Temperature: estimate.Unknown(nameOwn, quantity.KindTemperature.Shown(), "no drive shows an opening on the coolant")}
	if len(drives) != len(results) {
		return own, nil, fmt.Errorf("thermostat.Learn: %d results for %d drives; give one for each", len(results), len(drives))
	}
	out := slices.Clone(results)
	centre, sd, ok := own.centre(results, stamp)
	if !ok {
		return own, out, nil
	}
	rules.Opening, rules.OpeningWithin = quantity.Kelvin(centre), quantity.KelvinDifference(max(outlierLeast, outlierSD*sd))
	for i, r := range results {
		x, read := r.coolantAtOnset()
		outlier := read && math.Abs(x-centre) > rules.OpeningWithin.Kelvins()
		if outlier {
			own.Outliers = append(own.Outliers, r.Drive)
		}
		if !outlier && r.Outcome != NotDecidable || drives[i].Warming.AirCooled || !drives[i].Has(drive.Coolant) {
			continue
		}
		again, err := FindWith(drives[i], rules)
		if err != nil && !errors.Is(err, ErrNoEvidence) {
			return own, nil, err
		}
		if changed := out[i].reconsider(again, outlier, x, centre); changed {
			own.Redecided = append(own.Redecided, r.Drive)
		}
	}
	return own, out, nil
}

const nameOwn = "coolant at the onset"

// coolantAtOnset is the coolant's reading at the onset in K, if there is one.
func (r Result) coolantAtOnset() (float64, bool) {
	c, ok := r.AtOnset[drive.Coolant]
	return c.Value.Kelvin(), ok && r.Outcome == Opened
}

// centre fills in the temperature and returns it with the standard deviation
// between drives.
func (o *Own) centre(results []Result, stamp quantity.Temperature) (centre, sd float64, ok bool) {
	var all []float64
	for _, r := range results {
		if x, ok := r.coolantAtOnset(); ok && r.Confidence != Low {
			all = append(all, x)
		}
	}
	if len(all) == 0 || !(stamp.Kelvin() > 0) && len(all) < leastDrives {
		if len(all) > 0 {
			o.Temperature.Missing = fmt.Sprintf("%d of the drives show an opening on the coolant; %d are needed", len(all), leastDrives)
		}
		return 0, 0, false
	}
	slices.Sort(all)
	median := all[len(all)/2]
	if len(all)%2 == 0 {
		median = (all[len(all)/2-1] + all[len(all)/2]) / 2
	}
	far := make([]float64, len(all))
	for i, x := range all {
		far[i] = math.Abs(x - median)
	}
	slices.Sort(far)
	const toSD = 1.4826 // of a normal distribution's median absolute deviation
	n := float64(len(all))
	robust := toSD * far[len(far)/2]
	sd = math.Sqrt((n*robust*robust + 3*typicalSD*typicalSD) / (n + 3))
	sum, weight := 0.0, 0.0
	for _, r := range results {
		if x, ok := r.coolantAtOnset(); ok && r.Confidence != Low && math.Abs(x-median) <= max(outlierLeast, outlierSD*sd) {
			sum, weight = sum+x/(sd*sd), weight+1/(sd*sd)
			o.Drives = append(o.Drives, r.Drive)
		}
	}
	if stamp.Kelvin() > 0 {
		sum, weight = sum+stamp.Kelvin()/(stampSD*stampSD), weight+1/(stampSD*stampSD)
	}
	centre = sum / weight
	half := 1.96 / math.Sqrt(weight)
	o.Scatter = quantity.KelvinDifference(sd)
	o.Temperature = estimate.Between(nameOwn, centre, quantity.KindTemperature.Shown(),
		estimate.Interval{Low: centre - half, High: centre + half, Level: 0.95}, estimate.BetweenDrives, math.NaN())
	o.Temperature.Count = len(o.Drives)
	return centre, sd, true
}

// reconsider takes over an answer found with the car's own temperature, and
// says whether that changed anything. An opening far from that temperature
// which nothing but the coolant shows is given up.
func (r *Result) reconsider(again Result, outlier bool, x, centre float64) bool {
	at := func(kelvin float64) string { return r.Units.Say(quantity.KindTemperature, "%.0f", kelvin) }
	switch {
	case again.Outcome == Opened:
		y, read := again.coolantAtOnset()
		if read && (!outlier || math.Abs(y-centre) < math.Abs(x-centre)-0.5) {
			was := r.Outcome
			*r = again
			r.Confidence = Low
			r.warn(estimate.Ambiguous, "on its own this drive was %s; in the other drives of this car the coolant reads %s at the onset, and here %s", was, at(centre), at(y))
			return true
		}
	case outlier && r.lead == drive.Coolant:
		r.Rejected = append(r.Rejected, Candidate{drive.Coolant, r.Onset, fmt.Sprintf("the coolant reads %s, in the other drives of this car %s at the onset", at(x), at(centre))})
		*r = Result{Drive: r.Drive, Units: r.Units, Onset: math.NaN(), FullyOpen: math.NaN(), Confidence: Low, Rejected: r.Rejected, Evidence: r.Evidence,
			Regulation: Regulation{CyclingPeriod: math.NaN()},
			Reason:     fmt.Sprintf("the coolant's only bend is at %s, but in the other drives of this car it reads %s when the thermostat opens", at(x), at(centre))}
		return true
	}
	if outlier {
		r.Confidence = Low
		r.warn(OtherTemperature, "the coolant reads %s at the onset, in the other drives of this car %s", at(x), at(centre))
		return true
	}
	return false
}
