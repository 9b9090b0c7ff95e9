// Package pack makes the data packs of a workshop: a campaign of the judge each,
// from a recorded seed, with one surprise planted in one drive, and its key.
//
// The files are those of two loggers and a phone, in the plainest shape, so
// that the surprise is the only thing to find.
package pack

import (
	"archive/zip"
	"bytes"
	"fmt"
	"maps"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/instrument"
)

// Surprise is what is wrong with one drive of a pack.
type Surprise string

// The surprises.
const (
	Swapped Surprise = "the ambient and the intake probe of logger A are in each other's sockets"
	HourOff Surprise = "the clock of logger B is an hour ahead"
	Rain    Surprise = "it rained"
)

// Pack is one pack's recipe, and the key to it.
type Pack struct {
	Name string
	Seed uint64
	// Sides are the drives with each configuration.
	Sides    int
	Surprise Surprise
	// Odd is the drive, from 0, that has it.
	Odd int
}

// All lists the packs. Their names say nothing of what is in them.
func All() []Pack {
	return []Pack{
		{Name: "barn", Seed: 11, Sides: 2, Surprise: Swapped, Odd: 2},
		{Name: "mill", Seed: 12, Sides: 2, Surprise: HourOff, Odd: 1},
		{Name: "quay", Seed: 13, Sides: 3, Surprise: Rain, Odd: 3},
	}
}

// zone is what the loggers' clocks show: two hours ahead of UTC.
const zone = 2 * time.Hour

// step is what the loggers record by, s; the phone's track is thinned to every
// second fix. It keeps the packs small.
const (
	step = 4
	thin = 2
)

// The configurations, and the sockets of the loggers in order.
var (
	configurations = [2]string{"open filters", "cold-air duct"}
	first          = []instrument.Place{instrument.Grille, instrument.Intake, instrument.BayFront, instrument.UpperTank}
	second         = []instrument.Place{instrument.Intake, instrument.BayRear, instrument.Coolant}
)

// Files makes the pack's files by name: a campaign file and the logs. It fails
// where the recipe asks for what the judge can't make.
func (p Pack) Files() (map[string][]byte, error) {
	c, err := judge.Make(judge.Plan{Seed: p.Seed, Before: p.Sides, After: p.Sides, Order: judge.Balanced, Variant: "plain", ScatterK: 0.6, StepS: step})
	if err != nil {
		return nil, err
	}
	if p.Odd < 0 || p.Odd >= len(c.Drives) {
		return nil, fmt.Errorf("pack %s: there is no drive %d of %d", p.Name, p.Odd+1, len(c.Drives))
	}
	for i, d := range c.Drives {
		d.Run.Day.Rain = false
		if p.Surprise == Rain && i == p.Odd {
			wet(d)
		}
		d.Trace = d.Run.Do()
	}
	loggers := p.loggers(c)
	files := map[string][]byte{"campaign.toml": p.campaign(c)}
	for i, d := range c.Drives {
		for k, l := range loggers {
			if p.Surprise == HourOff && i == p.Odd && k == 1 {
				l.Clock.OffsetS += 3600
			}
			rec := l.Read(d.Trace, d.Start, source(p.Seed, i, k))
			if p.Surprise == Swapped && i == p.Odd && k == 0 {
				rec.Channels[0].Values, rec.Channels[1].Values = rec.Channels[1].Values, rec.Channels[0].Values
			}
			files[logName(i, l.Name)] = table(rec)
		}
		files[trackName(i)] = track(c.Phone.Track(d.Trace, d.Start, source(p.Seed, i, 9)))
	}
	return files, nil
}

// sprayK is what water does to the air that is drawn, beyond what the judge's
// rain does to the skins of bonnet and engine: spray that evaporates on radiator
// and manifold. Its size is judgement, large enough to be noticed.
const sprayK = -7

// wet makes a drive one in the rain: no sun, water on every surface and in the
// air, which is nearly full of it.
func wet(d *judge.Drive) {
	day := &d.Run.Day
	day.Rain = true
	day.SunWPerM2 *= 0.15
	day.HumidityShare = 0.97
	for k := range day.StratumK {
		day.StratumK[k] += sprayK
	}
}

// loggers are the campaign's two, with the pack's sockets and clocks that are
// wrong by seconds only.
func (p Pack) loggers(c *judge.Campaign) [2]instrument.Logger {
	var all [2]instrument.Logger
	for k, places := range [][]instrument.Place{first, second} {
		l := c.Loggers[k]
		l.Clock = instrument.Clock{Epoch: c.Drives[0].Start, OffsetS: []float64{-6, 14}[k], Zone: zone}
		rng := source(p.Seed, 100, k)
		for i, place := range places {
			l.Probes = append(l.Probes, instrument.DrawProbe(place, c.Rig, rng))
			l.Labels = append(l.Labels, fmt.Sprintf("%s%d", []string{"T", "K"}[k], i+1))
		}
		all[k] = l
	}
	return all
}

// Zip packs files, each name below a folder of the pack's own.
func (p Pack) Zip(files map[string][]byte) ([]byte, error) {
	var w bytes.Buffer
	z := zip.NewWriter(&w)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		out, err := z.CreateHeader(&zip.FileHeader{Name: p.Name + "/" + name, Method: zip.Deflate})
		if err != nil {
			return nil, err
		}
		if _, err := out.Write(files[name]); err != nil {
			return nil, err
		}
	}
	err := z.Close()
	return w.Bytes(), err
}
