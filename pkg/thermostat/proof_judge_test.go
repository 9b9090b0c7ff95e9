//go:build proof

package thermostat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	second "github.com/bonnetbook/bonnetbook/pkg/internal/judge"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/road"
	"github.com/bonnetbook/bonnetbook/pkg/internal/proving"
)

var judgeRoads = []road.Kind{road.Mixed, road.Country, road.Town, road.Mixed, road.Motorway}

// judgeVariants are the judge's physical variants, of equal weight.
func judgeVariants() []string {
	var all []string
	for _, v := range car.Variants() {
		all = append(all, v.Name)
	}
	return all
}

// judged calls f with the drives of one kind, of cars of a variant, at each
// logger's step.
func judged(t *testing.T, variant, kind string, seed uint64, cars int, f func(step float64, p proofDrive)) {
	t.Helper()
	for number, s := range proving.Seeds(seed, cars) {
		rng := rand.New(rand.NewPCG(s, 0x7468))
		plan := second.Plan{Seed: s, Before: 3, Variant: variant, ScatterK: 1.2, Road: judgeRoads[number%len(judgeRoads)], NoPulls: number%4 == 0, Hop: kind == kindHop}
		if kind == kindHop || kind == kindStuck {
			plan.Before = 1
		}
		c, err := second.Make(plan)
		if err != nil {
			t.Fatal(err)
		}
		drives := c.Drives
		if kind == kindHop {
			drives = drives[len(drives)-1:]
		}
		for _, d := range drives {
			rerun(d, kind, rng)
			u := rng.Float64()
			for _, step := range proofSteps {
				for i := range c.Loggers {
					c.Loggers[i].StepS = step
				}
				p, ok := judgedDrive(t, c, d, kind, u)
				if ok {
					p.drive.Name = fmt.Sprintf("%s, car %d, drive %s, %g s, %s", variant, number, d.Name, step, kind)
					p.car = fmt.Sprintf("%s %d", variant, number)
					f(step, p)
				}
			}
		}
	}
}

// rerun drives again what is not a cold start without a stop.
func rerun(d *second.Drive, kind string, rng *rand.Rand) {
	start := d.Run.Car.StartC()
	switch kind {
	case kindParked:
		if ff := d.Trace.FirstFlowS; ff > 120 && int(ff) < d.Trace.Len() {
			at := d.Trace.DistanceM[int((0.35+0.5*rng.Float64())*ff)]
			d.Run.Parks = []car.Park{{AtM: at, ForS: 120 + 900*rng.Float64()}}
		}
	case kindHot:
		d.Run.CoolantC = start + 3 + 10*rng.Float64()
	case kindTepid:
		d.Run.CoolantC = start - 4 - 30*rng.Float64()
	default:
		return
	}
	d.Trace = d.Run.Do()
}

// judgedDrive reads a drive and cuts it as its kind asks; u is a number of 0 to
// 1 that stays the same for all steps.
func judgedDrive(t *testing.T, c *second.Campaign, d *second.Drive, kind string, u float64) (proofDrive, bool) {
	t.Helper()
	dr, err := proving.Drive(c, d)
	if err != nil {
		t.Fatal(err)
	}
	opened := d.Trace.Outcome == car.Opened
	p := proofDrive{drive: dr, truth: math.NaN(), kind: kind}
	if opened {
		p.truth = d.Trace.FirstFlowS
	}
	return cutToKind(p, opened, d.Trace.Outcome == car.Already, u, float64(d.Trace.Len()))
}

// cutToKind cuts a record as its kind asks; false where the drive is none of
// that kind.
func cutToKind(p proofDrive, opened, already bool, u, length float64) (proofDrive, bool) {
	switch p.kind {
	case kindOpens, kindTepid:
		return p, opened && p.truth > 20 && p.truth < length-60
	case kindHop, kindStuck:
		return p, !opened
	case kindHot:
		return p, already
	case kindLate:
		if !opened || p.truth > length-60 {
			return p, false
		}
		p.drive = cut(p.drive, (0.75+0.2*u)*p.truth, math.Inf(1))
		return p, true
	case kindAfter:
		if !opened || p.truth > length-400 {
			return p, false
		}
		p.drive, p.truth = cut(p.drive, p.truth+30+u*(length-400-p.truth), math.Inf(1)), math.NaN()
		return p, true
	}
	// Cut before the opening; a hop's or stuck valve's record has none.
	if !opened || p.truth < 90 {
		return p, false
	}
	share := 0.4 + 0.6*u
	if p.kind == kindParked {
		share = 0.85 + 0.15*u
	}
	p.drive, p.truth = cut(p.drive, math.Inf(-1), share*p.truth-2), math.NaN()
	return p, p.drive.Has(drive.TopTank)
}

// judgeVariant is the variant that drives of a kind come from.
func judgeVariant(kind, variant string) string {
	if kind == kindStuck {
		return "stuck open"
	}
	return variant
}
