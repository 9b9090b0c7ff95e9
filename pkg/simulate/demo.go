package simulate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// DemoSeed is the recorded seed of the demo in testdata/demo.
const DemoSeed = 1972

// DemoDrive is one drive of the demo: its weather, its files and its truth.
type DemoDrive struct {
	Name, Stem string
	Intake     Intake
	Start      time.Time // true time of the first second, local
	Ambient    float64   // K
	Pressure   float64   // Pa
	Humidity   float64   // fraction
	A, B       Logger
	Phone      Phone
	History    *History
	// ClocksStated writes the loggers' clock errors into the campaign file, for
	// tests that are not about clocks.
	ClocksStated bool
	rowsA        []Row
	rowsB        []Row
	fixes        []Fix
}

// demoZone is the demo's local time.
var demoZone = time.FixedZone("", 2*3600)

// demoDay is one line of the demo's diary, in the order A-B-B-A-A-B so that a
// slow change over the weeks does not favour one configuration.
type demoDay struct {
	name, stem       string
	duct             bool
	day, hour, min   int
	celsius          float64
	hectopascal      float64
	humidity         float64
	offsetA, offsetB float64 // clock errors, s
}

var diary = []demoDay{
	{"open filters, first run", "open-1", false, 6, 9, 30, 17.4, 962.1, 0.62, 0, -47},
	{"cold-air duct, first run", "duct-1", true, 7, 10, 5, 19.8, 959.4, 0.55, -3, 95},
	{"cold-air duct, second run", "duct-2", true, 13, 14, 10, 26.2, 965.8, 0.41, 12, 3611},
	{"open filters, second run", "open-2", false, 14, 13, 40, 25.1, 964.2, 0.44, 12, 3608},
	{"open filters, third run", "open-3", false, 20, 8, 55, 15.2, 957.3, 0.71, 31, -20},
	{"cold-air duct, third run", "duct-3", true, 21, 9, 20, 16.9, 960.0, 0.66, 33, -21},
}

// Demo simulates the drives of the demo from the seed.
func Demo(seed uint64) []*DemoDrive { return DemoOn(ValleyRoad(), seed) }

// DemoOn simulates the demo's drives on another route.
func DemoOn(route []Leg, seed uint64) []*DemoDrive {
	// The channels keep their offsets over all drives, like real probes.
	offsetsA := []float64{0.3, -0.5, 0.8, 0.2}
	offsetsB := []float64{0.4, -0.7, 0.1, 0}
	var all []*DemoDrive
	for i, d := range diary {
		random := rand.New(rand.NewPCG(seed, uint64(i)))
		dd := &DemoDrive{
			Name: d.name, Stem: d.stem, Intake: OpenFilters(),
			Start:   time.Date(2026, time.June, d.day, d.hour, d.min, 0, 0, demoZone),
			Ambient: quantity.Celsius(d.celsius).Kelvin(), Pressure: d.hectopascal * float64(quantity.Hectopascal), Humidity: d.humidity,
			A:     Logger{Name: "logger A", Period: 2, ClockOffset: d.offsetA, ClockDrift: 12e-6, Resolution: 0.1, Noise: 0.07, Offsets: offsetsA, Late: 3},
			B:     Logger{Name: "logger B", Period: 2, ClockOffset: d.offsetB, ClockDrift: -18e-6, Resolution: 0.1, Noise: 0.07, Offsets: offsetsB, Late: 11},
			Phone: Phone{Lag: 1.2, SpeedNoise: 0.12, PositionNoise: 3, Dropout: 0.004},
		}
		if d.duct {
			dd.Intake = ColdAirDuct()
		}
		dd.run(route, random)
		all = append(all, dd)
	}
	return all
}

func (d *DemoDrive) run(route []Leg, random *rand.Rand) {
	tr := Drive(route, 1, random)
	d.History = Run(DemoCar(), d.Intake, tr, Conditions{Ambient: d.Ambient, Drift: 0.6, Day: DrawDay(random)})
	h := d.History
	air := Probe{Lag: 5, LagMoving: 2.5}
	// The grille probe is warmed by the bay when the car stands.
	grille := make([]float64, h.Len())
	for i := range grille {
		grille[i] = h.Ambient[i] + 0.07*(h.Bay[i]-h.Ambient[i])*math.Exp(-h.Speed[i]/4)
	}
	d.rowsA = d.A.Rows(d.Start, [][]float64{
		air.Read(grille, h.Metal, h.Speed),
		Probe{Lag: 5, LagMoving: 2.5, Radiation: 0.002}.Read(h.Intake, h.Metal, h.Speed),
		Probe{Lag: 6, LagMoving: 4, Radiation: 0.01}.Read(h.Bay, h.Metal, h.Speed),
		Probe{Lag: 9}.Read(h.TopTank, h.Metal, h.Speed),
	}, random)
	d.rowsB = d.B.Rows(d.Start, [][]float64{
		Probe{Lag: 5, LagMoving: 2.5, Radiation: 0.002}.Read(h.Intake, h.Metal, h.Speed),
		Probe{Lag: 9}.Read(h.BottomTank, h.Metal, h.Speed),
		Probe{Lag: 5, LagMoving: 3}.Read(h.RadiatorAir, h.Metal, h.Speed),
		air.Read(h.Ambient, h.Metal, h.Speed),
	}, random)
	OpenCircuit(d.rowsB, 3, 0, len(d.rowsB)) // nothing is plugged in there
	loose := len(d.rowsA) / 2
	OpenCircuit(d.rowsA, 2, loose, loose+4) // a loose plug, for 8 s
	d.fixes = d.Phone.Fixes(d.Start, h, random)
}

// Files returns the drive's files by name.
//
// It fails where a layout of the demo can't be written, which is a mistake of
// this package.
func (d *DemoDrive) Files() (map[string][]byte, error) {
	layouts := Layouts()
	a, err := layouts[0].Write([]string{"T1", "T2", "T3", "T4"}, d.rowsA)
	if err != nil {
		return nil, err
	}
	lb := layouts[1] // semicolon, decimal comma, day first
	b, err := lb.Write([]string{"K1", "K2", "K3", "K4"}, d.rowsB)
	if err != nil {
		return nil, err
	}
	return map[string][]byte{
		d.Stem + "-logger-a.csv": a,
		d.Stem + "-logger-b.txt": b,
		d.Stem + "-phone.csv":    CSV(d.fixes),
	}, nil
}

// DemoFiles returns all files of the demo by name: logs, campaign.toml and
// truth.toml. It fails where a log can't be written.
func DemoFiles(seed uint64) (map[string][]byte, error) {
	drives := Demo(seed)
	files, err := CampaignFiles(drives)
	if err != nil {
		return nil, err
	}
	files["truth.toml"] = []byte(truthText(seed, drives))
	return files, nil
}

// CampaignFiles returns the drives' logs and their campaign.toml by name. It
// fails where a log can't be written.
func CampaignFiles(drives []*DemoDrive) (map[string][]byte, error) {
	files := map[string][]byte{"campaign.toml": []byte(campaignText(drives))}
	for _, d := range drives {
		own, err := d.Files()
		if err != nil {
			return nil, fmt.Errorf("demo drive %q: %w", d.Name, err)
		}
		for name, data := range own {
			files[name] = data
		}
	}
	return files, nil
}
