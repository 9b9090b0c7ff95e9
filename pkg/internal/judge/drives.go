package judge

import (
	"fmt"
	"math"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/road"
)

// makeDrives draws the days and makes the drives.
func (c *Campaign) makeDrives() error {
	p, rng := c.Plan, c.rng
	season := p.Season
	if season == (car.Season{}) {
		mid := 4 + 18*rng.Float64()
		season = car.Season{LowC: mid - 5, HighC: mid + 5}
	}
	routes, err := c.routes()
	if err != nil {
		return err
	}
	after := p.sequence(rng.Shuffle)
	c.drawFlaws(len(after))
	parked := -1
	if p.Park {
		parked = rng.IntN(len(after))
	}
	if p.Hop {
		after = append(after, after[len(after)-1])
	}
	start, common := epoch, rng.NormFloat64()
	for i, b := range after {
		side := 0
		if b {
			side = 1
		}
		common = p.DayCorrelation*common + math.Sqrt(1-p.DayCorrelation*p.DayCorrelation)*rng.NormFloat64()
		run := car.Run{Car: c.Car, Intake: c.Intakes[side], Route: routes[side], Driver: road.DrawDriver(rng),
			Day:      c.day(season, i, side, len(after), common),
			CoolantC: math.NaN(), BeforeS: 20 + 40*rng.Float64(), IdleS: 10 + 50*rng.Float64(), SoakS: 120 + 360*rng.Float64(),
			Seed: p.Seed, Path: uint64(i) + 100}
		run.Driver.Pulls = !p.NoPulls
		if b {
			c.spoil(&run)
		}
		if i == parked {
			run.Parks = []car.Park{{AtM: (0.4 + 0.3*rng.Float64()) * run.Route.LengthM(), ForS: 480 + 1000*rng.Float64()}}
		}
		if p.Hop && i == len(after)-1 {
			run.Route = routes[2]
		}
		at := start.Add(time.Duration(8*3600+rng.IntN(9*3600)) * time.Second)
		start = start.AddDate(0, 0, 1+rng.IntN(4))
		c.Drives = append(c.Drives, &Drive{Name: fmt.Sprintf("%d", i+1), After: b, Start: at, Run: run, Trace: run.Do()})
	}
	return nil
}

// routes are the roads before and after the change, and the hop's.
func (c *Campaign) routes() (routes [3]*road.Route, err error) {
	kind := c.Plan.Road
	if kind == "" {
		kind = road.Mixed
	}
	other := kind
	if c.Plan.has(OtherRoute) {
		other = road.Mixed
		if kind == road.Mixed {
			other = road.Country
		}
	}
	for i, k := range []road.Kind{kind, other, road.Hop} {
		if i == 1 && other == kind {
			routes[1] = routes[0]
			continue
		}
		if routes[i], err = road.New(k, c.rng); err != nil {
			return routes, err
		}
		routes[i].BeginAt(routes[0]) // the owner lives in one place
	}
	return routes, nil
}

// drawFlaws draws the sizes of what spoils n drives.
func (c *Campaign) drawFlaws(n int) {
	p, rng := c.Plan, c.rng
	sign := func() float64 { return float64(1 - 2*rng.IntN(2)) }
	c.ScatterK = [2]float64{p.ScatterK, p.ScatterK}
	if p.has(UnequalScatter) {
		c.ScatterK[rng.IntN(2)] /= 3
	}
	if p.has(Drift) {
		c.DriftK = (1 + 2*rng.Float64()) * sign()
	}
	if p.has(Outlier) {
		c.Odd, c.OddK = rng.IntN(n), (6+6*rng.Float64())*sign()
	}
}

// day draws drive i of n.
func (c *Campaign) day(season car.Season, i, side, n int, common float64) car.Day {
	sc := car.Scatter{K: c.ScatterK[side], Heavy: c.Plan.Heavy, Common: common}
	if c.Plan.DayCorrelation == 0 {
		sc.Common = math.NaN()
	}
	day := car.DrawDay(season, sc, c.rng)
	for k := range day.StratumK {
		day.StratumK[k] += c.DriftK * (float64(i)/float64(max(n-1, 1)) - 0.5)
		if i == c.Odd {
			day.StratumK[k] += c.OddK
		}
	}
	return day
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
