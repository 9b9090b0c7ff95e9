package judge

import (
	"math/rand/v2"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/instrument"
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
	// Probes are in the order of Places; the refit's offset comes on top after.
	Probes []instrument.Probe
	// What the flaws drew: scatter before and after, the refit's offset, the
	// drift over the whole campaign, the outlier's drive (-1 without) and size.
	ScatterK       [2]float64
	RefitK, DriftK float64
	Odd            int
	OddK           float64
	Loggers        [2]instrument.Logger
	Phone          instrument.Phone
	rng            *rand.Rand
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
	return c, c.makeDrives()
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
