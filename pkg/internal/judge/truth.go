package judge

import (
	"encoding/json"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/road"
)

// Number is a float64 that is null in JSON where it is NaN or infinite.
type Number float64

// MarshalJSON writes null for what is no number.
func (n Number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// DriveTruth is what truly happened in a drive. Times are seconds of the
// record (its second 0 is Drive.Start); NaN is never.
type DriveTruth struct {
	Outcome     car.Outcome `json:"outcome"`
	StartC      Number      `json:"valve_start_C"`
	FirstFlowS  Number      `json:"first_flow_s"`
	TankHalfS   Number      `json:"tank_rise_half_kelvin_s"` // 0.5 K above a tank whose valve stayed shut
	TankRiseS   Number      `json:"tank_rise_one_kelvin_s"`
	TankMidS    Number      `json:"tank_half_way_s"`
	MaxCoolantC Number      `json:"max_coolant_C"`
	SoakRiseK   Number      `json:"soak_rise_K"`
	Boiled      bool        `json:"boiled"`
	// RiseAtOpeningK is the mean rise in the 20 s before the first flow.
	RiseAtOpeningK Number `json:"rise_at_opening_K"`
	// RiseK is the true mean rise of the intake's air over free air in each
	// kind, in the order of car.KindIDs.
	RiseK map[string]Number `json:"rise_K"`
}

// Truth is the truth of one drive.
func (d *Drive) Truth() DriveTruth {
	t := d.Trace
	truth := DriveTruth{
		Outcome: t.Outcome, StartC: Number(d.Run.Car.StartC()), FirstFlowS: Number(t.FirstFlowS), TankHalfS: Number(t.TankRiseHalfS),
		TankRiseS: Number(t.TankRiseS), TankMidS: Number(t.TankMidS), MaxCoolantC: Number(t.MaxCoolantC),
		SoakRiseK: Number(t.SoakRiseK), Boiled: t.BoiledJ > 0, RiseK: map[string]Number{},
	}
	if d.Run.Car.Cooling == car.Air {
		truth.StartC = Number(math.NaN())
	}
	truth.RiseAtOpeningK = Number(math.NaN())
	if at := int(t.FirstFlowS); t.Outcome == car.Opened && at >= 20 {
		sum := 0.0
		for i := at - 20; i < at; i++ {
			sum += t.RiseK(i) / 20
		}
		truth.RiseAtOpeningK = Number(sum)
	}
	for k, m := range car.Means(t) {
		truth.RiseK[car.KindIDs[k]] = Number(m)
	}
	return truth
}

// Change is the truth about after minus before in each kind of driving, in the
// order of car.KindIDs, K.
//
// OnTheseDaysK drives every drive of the campaign again in both
// configurations, with its own day, driver and lights, and takes the mean of
// the differences: what the change did on these days. ReferenceK is one still
// day at the campaign's mean ambient with a steady driver. A kind that was not
// driven is NaN. Both count the change alone: no refit, drift or outlier.
type Change struct {
	OnTheseDaysK, ReferenceK [car.Kinds]float64
	// PowerRatio is full-throttle power after over before at the rated speed,
	// each with the air of its own ten-second pull on the level.
	PowerRatio float64
}

// Change finds the truth about the change; it costs two drives for each one.
func (c *Campaign) Change() Change {
	var ch Change
	var n [car.Kinds]int
	ambient := 0.0
	pair := func(r car.Run) (diff [car.Kinds]float64) {
		var m [2][car.Kinds]float64
		for side, in := range c.Intakes {
			r.Intake = in
			m[side] = car.Means(r.Do())
		}
		for k := range diff {
			diff[k] = m[1][k] - m[0][k]
		}
		return diff
	}
	for _, d := range c.Drives {
		ambient += d.Run.Day.AmbientC / float64(len(c.Drives))
		for k, x := range pair(d.Run) {
			if !math.IsNaN(x) {
				ch.OnTheseDaysK[k] += x
				n[k]++
			}
		}
	}
	for k := range n {
		ch.OnTheseDaysK[k] /= float64(n[k]) // 0/0 is NaN
	}
	r := c.Drives[0].Run
	r.Day, r.Driver, r.CoolantC = car.StillDay(ambient), road.Steady(), math.NaN()
	ch.ReferenceK = pair(r)
	var power [2]float64
	for side, in := range c.Intakes {
		rise := car.FullThrottle(c.Car, in, ambient, 0).RiseK[0]
		power[side] = car.PowerAt(c.Car, in, ambient+rise)
	}
	ch.PowerRatio = power[1] / power[0]
	return ch
}

// Parts is what each source adds to a drive's mean rise, K, by kind of driving
// (car.KindIDs) and source (car.Sources): the drive as it was, less the same
// drive without that source. What no source explains is in "rest": scatter,
// a planted offset, and what two sources do together. They add up to the rise.
//
// Under the laws of ambient that are not Physical the sources are those that
// the law makes of them.
func (c *Campaign) Parts(d *Drive) map[string][car.Kinds]float64 {
	whole := car.Means(d.Trace)
	parts := map[string][car.Kinds]float64{}
	rest := whole
	for source, name := range car.Sources {
		r := d.Run
		r.Without = source
		// The kinds are cut as in the drive itself.
		less := car.MeansOver(r.Do(), car.Strata(d.Trace))
		var part [car.Kinds]float64
		for k := range part {
			part[k] = whole[k] - less[k]
			rest[k] -= part[k]
		}
		parts[name] = part
	}
	parts["rest"] = rest
	return parts
}

// Load is the truth about full throttle and climbs in one configuration.
type Load struct {
	Pulls  [len(car.Grades)]car.Pull
	Climbs [len(car.Grades)]car.Climb // held at 80 km/h
}

// Load finds the truth about load for a configuration (0 before, 1 after) at
// an ambient temperature; it costs about a fifth of a second.
func (c *Campaign) Load(side int, ambientC float64) Load {
	var l Load
	for i, g := range car.Grades {
		l.Pulls[i] = car.FullThrottle(c.Car, c.Intakes[side], ambientC, g)
		l.Climbs[i] = car.HeldClimb(c.Car, c.Intakes[side], ambientC, 80/3.6, g)
	}
	return l
}
