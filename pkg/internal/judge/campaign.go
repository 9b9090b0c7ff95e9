package judge

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/instrument"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/road"
)

// Campaign is one owner's drives with two configurations, and the truth.
type Campaign struct {
	Plan    Plan
	Variant string
	Car     *car.Car
	// Intakes are the configuration before and after.
	Intakes [2]car.Intake
	Drives  []*Drive
	Rig     instrument.Rig
	// Probes are in the order of Places; the refit's offset is added after.
	Probes  []instrument.Probe
	RefitK  float64
	DriftK  float64 // over the whole campaign
	Odd     int     // the outlier's drive, -1 without
	Loggers [2]instrument.Logger
	Phone   instrument.Phone
	rng     *rand.Rand
}

// Drive is one drive of a campaign.
type Drive struct {
	Name  string
	After bool
	Start time.Time // true UTC of the record's second 0
	Run   car.Run
	Trace *car.Trace
}

// Places are where a complete rig has probes: the first logger's four, then
// the second's.
var Places = [...]instrument.Place{
	instrument.Intake, instrument.BayFront, instrument.Grille, instrument.UpperTank,
	instrument.Throat, instrument.BayRear, instrument.Coolant,
}

// Make makes a campaign. It fails when the plan asks for what there is not.
func Make(p Plan) (*Campaign, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	c := &Campaign{Plan: p, Odd: -1, rng: rand.New(rand.NewPCG(p.Seed, 0x6a75646765))}
	rng := c.rng
	c.Variant = p.Variant
	if c.Variant == "" {
		all := car.Variants()
		c.Variant = all[p.Seed%uint64(len(all))].Name
	}
	var err error
	if c.Car, c.Intakes[0], err = car.Draw(c.Variant, rng); err != nil {
		return nil, err
	}
	if p.Law != nil {
		c.Car.Law = *p.Law
	}
	c.Intakes[1] = car.DrawDuct(c.Intakes[0], rng)
	switch {
	case p.has(SameConfiguration):
		c.Intakes[1] = c.Intakes[0]
	case p.PlantedK != 0:
		c.Intakes[1] = c.Intakes[0]
		c.Intakes[1].OffsetK = p.PlantedK
	}
	c.Intakes[0].Name, c.Intakes[1].Name = "open", "duct"
	c.instruments()
	return c, c.drive()
}

func (c *Campaign) instruments() {
	rng := c.rng
	c.Rig = instrument.RigOf(c.Variant, rng)
	for _, p := range Places {
		c.Probes = append(c.Probes, instrument.DrawProbe(p, c.Rig, rng))
	}
	if c.Plan.has(Refit) {
		c.RefitK = (0.8 + 1.7*rng.Float64()) * float64(1-2*rng.IntN(2))
	}
	step := c.Plan.StepS
	if step == 0 {
		step = 2
	}
	for i := range c.Loggers {
		c.Loggers[i] = instrument.Logger{Name: []string{"A", "B"}[i], StepS: step, ResolutionK: 0.1,
			Clock:     instrument.DrawClock(epoch, time.Hour, rng),
			CaseKPerK: 0.03 * rng.NormFloat64(), CaseRiseK: 4 + 10*rng.Float64()}
	}
	c.Phone = instrument.DrawPhone(rng)
}

var epoch = time.Date(2026, 5, 2, 0, 0, 0, 0, time.UTC)

// drive draws the days and makes the drives.
func (c *Campaign) drive() error {
	p, rng := c.Plan, c.rng
	season := p.Season
	if season == (car.Season{}) {
		mid := 4 + 18*rng.Float64()
		season = car.Season{LowC: mid - 5, HighC: mid + 5}
	}
	kind := p.Road
	if kind == "" {
		kind = road.Mixed
	}
	routes := [2]*road.Route{}
	var err error
	if routes[0], err = road.New(kind, rng); err != nil {
		return err
	}
	routes[1] = routes[0]
	if p.has(OtherRoute) {
		other := map[road.Kind]road.Kind{road.Mixed: road.Country, road.Country: road.Mixed, road.Town: road.Mixed}[kind]
		if other == "" {
			other = road.Mixed
		}
		if routes[1], err = road.New(other, rng); err != nil {
			return err
		}
	}
	after := p.sequence(rng.Shuffle)
	if p.Hop {
		after = append(after, after[len(after)-1])
	}
	scatter := [2]float64{p.ScatterK, p.ScatterK}
	if p.has(UnequalScatter) {
		scatter[rng.IntN(2)] *= 1.0 / 3
	}
	if p.has(Drift) {
		c.DriftK = (1 + 2*rng.Float64()) * float64(1-2*rng.IntN(2))
	}
	if p.has(Outlier) {
		c.Odd = rng.IntN(len(after))
	}
	oddK := (6 + 6*rng.Float64()) * float64(1-2*rng.IntN(2))
	start, common := epoch, rng.NormFloat64()
	for i, b := range after {
		side := 0
		if b {
			side = 1
		}
		common = p.DayCorrelation*common + math.Sqrt(1-p.DayCorrelation*p.DayCorrelation)*rng.NormFloat64()
		sc := car.Scatter{K: scatter[side], Heavy: p.Heavy, Common: common}
		if p.DayCorrelation == 0 {
			sc.Common = math.NaN()
		}
		day := car.DrawDay(season, sc, rng)
		for k := range day.StratumK {
			day.StratumK[k] += c.DriftK * (float64(i)/float64(max(len(after)-1, 1)) - 0.5)
			if i == c.Odd {
				day.StratumK[k] += oddK
			}
		}
		run := car.Run{Car: c.Car, Intake: c.Intakes[side], Route: routes[side], Driver: road.DrawDriver(rng), Day: day,
			CoolantC: math.NaN(), BeforeS: 20 + 40*rng.Float64(), IdleS: 10 + 50*rng.Float64(), SoakS: 120 + 360*rng.Float64(),
			Seed: p.Seed, Path: uint64(i) + 100}
		run.Driver.Pulls = !p.NoPulls
		if b {
			c.spoil(&run)
		}
		if p.Hop && i == len(after)-1 {
			if run.Route, err = road.New(road.Hop, rng); err != nil {
				return err
			}
		}
		at := start.Add(time.Duration(8*3600+rng.IntN(9*3600)) * time.Second)
		start = start.AddDate(0, 0, 1+rng.IntN(4))
		c.Drives = append(c.Drives, &Drive{Name: fmt.Sprintf("%d", i+1), After: b, Start: at, Run: run, Trace: run.Do()})
	}
	return nil
}

// spoil does to a drive after the change what the flaws ask for.
func (c *Campaign) spoil(r *car.Run) {
	if c.Plan.has(WarmStart) {
		r.CoolantC = 55 + 30*c.rng.Float64()
	}
	if c.Plan.has(WarmerBy4) {
		r.Day.AmbientC += 4.5
	}
	if c.Plan.has(WarmerBy8) {
		r.Day.AmbientC += 8
	}
}

// ProbesOf are the probes as they sat in a drive.
func (c *Campaign) ProbesOf(d *Drive) []instrument.Probe {
	probes := append([]instrument.Probe(nil), c.Probes...)
	for i := range probes {
		p := probes[i].Place
		if d.After && (p == instrument.Intake || p == instrument.Throat) {
			probes[i].RefitK += c.RefitK
		}
	}
	return probes
}

// Read is what the two loggers and the phone recorded on a drive, the clocks
// as wrong as they are. The labels are the places' names.
func (c *Campaign) Read(d *Drive) (a, b instrument.Recording, track []instrument.Fix) {
	rng := rand.New(rand.NewPCG(c.Plan.Seed, d.Run.Path^0x72656164))
	probes := c.ProbesOf(d)
	var recs [2]instrument.Recording
	for i := range recs {
		l := c.Loggers[i]
		l.Probes = probes[4*i : min(4*i+4, len(probes))]
		for _, p := range l.Probes {
			l.Labels = append(l.Labels, string(p.Place))
		}
		recs[i] = l.Read(d.Trace, d.Start, rng)
	}
	return recs[0], recs[1], c.Phone.Track(d.Trace, d.Start, rng)
}
