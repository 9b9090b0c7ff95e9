//go:build proof && unix

package verdict_test

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

// drivesOfOwn makes the drives of a car of the project's own simulator, in the order
// A-B-B-A, on days between 8 and 24 °C that scatter as it draws them, and takes them
// through the pipeline. Nothing is changed on the car.
func drivesOfOwn(t *testing.T, seed uint64) pool {
	random := rand.New(rand.NewPCG(seed, 15))
	between := func(a, b float64) float64 { return a + (b-a)*random.Float64() }
	c, in := simulate.DemoCar(), simulate.OpenFilters()
	for _, p := range []*float64{&c.EngineCapacity, &c.TopTankCapacity, &c.CoreCapacity, &c.BayCapacity, &c.MetalCapacity, &c.BlockToBay, &c.MetalToBay,
		&c.TopTankToBay, &c.RamAirCapacity, &c.RadiatorToBay, &c.BayVent, &c.BayVentPerSpeed} {
		*p *= math.Exp(0.2 * random.NormFloat64())
	}
	c.RadiatorToBay = min(c.RadiatorToBay, 0.9)
	in.BayShare = between(0.3, 0.95)
	var one pool
	var drives []*drive.Drive
	for n := range 2 * side {
		w := simulate.Conditions{Ambient: 273.15 + between(8, 24), Drift: between(-1, 2), Day: simulate.DrawDay(random)}
		d := ownDrive(t, simulate.Run(c, in, simulate.Drive(simulate.ValleyRoad(), 1, random), w), random, n)
		after := n%4 == 1 || n%4 == 2
		d.Configuration = configuration(after)
		drives = append(drives, d)
		one.Drives = append(one.Drives, pooled{Name: d.Name, After: after, Start: d.Start})
	}
	one.measure(t, drives)
	return one
}

// ownDrive is what a logger and a phone made of a drive.
func ownDrive(t *testing.T, h *simulate.History, random *rand.Rand, n int) *drive.Drive {
	start := time.Date(2026, 6, 1+n, 9, 0, 0, 0, time.UTC)
	d := &drive.Drive{Name: "drive " + strconv.Itoa(n+1), Start: start, Channels: map[drive.Role]*drive.Channel{}}
	add := func(role drive.Role, at, v []float64) {
		dim, _ := role.Dimension()
		s, err := series.New(string(role), dim, start, at, v)
		if err != nil {
			t.Fatal(err)
		}
		d.Channels[role] = &drive.Channel{Role: role, Series: s, Device: "logger"}
	}
	logger := simulate.Logger{Period: 2, Resolution: 0.1, Noise: 0.1}
	for role, truth := range map[drive.Role][]float64{drive.Ambient: h.Ambient, drive.Intake: h.Intake, drive.EngineBay: h.Bay, drive.TopTank: h.TopTank} {
		read := simulate.Probe{Lag: 5, LagMoving: 2.5, Radiation: 0.003}.Read(truth, h.Metal, h.Speed)
		var at, v []float64
		for _, row := range logger.Rows(start, [][]float64{read}, rand.New(rand.NewPCG(uint64(n), uint64(len(role))))) {
			at, v = append(at, row.Clock.Sub(start).Seconds()), append(v, row.Values[0])
		}
		add(role, at, v)
	}
	var at, v []float64
	for i := range h.Speed {
		at, v = append(at, float64(i)), append(v, math.Max(0, h.Speed[i]+0.12*random.NormFloat64()))
	}
	add(drive.Speed, at, v)
	return d
}
