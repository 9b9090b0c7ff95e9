package messy

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"path"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/instrument"
)

// device is one logger over a campaign: how it writes, and how its files lie.
type device struct {
	logger instrument.Logger
	layout layout
	serial int
	// Growing keeps all drives in one file; Repeats says whether each session
	// has its header again; SplitRows cuts a drive's file (0: never).
	Growing, Repeats bool
	SplitRows        int
	// RenamedFrom is the drive (from 0) from which labels differ, -1 never.
	RenamedFrom int
	renamed     []string
	// SwappedIn is a drive in which two probes sat in each other's sockets.
	SwappedIn, swapA, swapB int
	Missing                 int // a drive in which it was not switched on, -1 none
	harm                    []string
}

// drawDevice draws how a logger with probes at places is used over n drives.
func drawDevice(l instrument.Logger, places []instrument.Place, rig instrument.Rig, n int, rng *rand.Rand) *device {
	d := &device{logger: l, layout: drawLayout(rng), serial: 1000 + rng.IntN(90000), RenamedFrom: -1, SwappedIn: -1, Missing: -1}
	d.logger.Probes = nil
	for _, p := range places {
		d.logger.Probes = append(d.logger.Probes, instrument.DrawProbe(p, rig, rng))
	}
	d.logger.Labels = labels(d.layout.lang, places, rng)
	if rng.IntN(3) == 0 && len(places) < 4 { // a socket without a probe
		d.logger.Probes = append(d.logger.Probes, instrument.DrawProbe(instrument.BayFront, rig, rng))
		d.logger.Labels = append(d.logger.Labels, fmt.Sprintf("CH%d", len(d.logger.Labels)+1))
		d.logger.OpenAlways = make([]bool, len(d.logger.Probes))
		d.logger.OpenAlways[len(d.logger.Probes)-1] = true
	}
	d.logger.OpenChance = make([]float64, len(d.logger.Probes))
	if rng.IntN(2) == 0 {
		d.logger.OpenChance[rng.IntN(len(d.logger.Probes))] = 0.5
	}
	d.Growing = rng.IntN(5) == 0 && d.layout.Shape != elapsed
	d.Repeats = rng.IntN(2) == 0
	if rng.IntN(6) == 0 && !d.Growing && d.layout.Shape != elapsed {
		d.SplitRows = 600
	}
	if rng.IntN(5) == 0 && n > 3 {
		d.RenamedFrom = 2 + rng.IntN(n-2)
		d.renamed = labels(d.layout.lang, places, rng)
		d.renamed = append(d.renamed, d.logger.Labels[len(d.renamed):]...)
		d.Repeats = true
	}
	if rng.IntN(10) == 0 && len(places) > 2 {
		d.SwappedIn, d.swapA, d.swapB = rng.IntN(n), rng.IntN(2), 2
	}
	if rng.IntN(12) == 0 && n > 5 {
		d.Missing = rng.IntN(n)
	}
	d.harm = drawHarm(rng)
	d.drawClock(rng)
	return d
}

// drawClock spoils the clock further: a zone hours off in one of four.
func (d *device) drawClock(rng *rand.Rand) {
	switch rng.IntN(8) {
	case 0:
		d.logger.Clock.ZoneWrongH = -1 // summer time not set
	case 1:
		d.logger.Clock.ZoneWrongH = float64(rng.IntN(12) - 6)
	case 2:
		if rng.IntN(3) == 0 { // never set: it began at its own first day
			d.logger.Clock.OffsetS -= 9500 * 86400
			d.harm = append(d.harm, "clock never set")
		}
	}
	d.logger.Clock.Epoch = time.Date(2026, 5, 2, 0, 0, 0, 0, time.UTC)
}

// record reads drive number i; false when the logger was off.
func (d *device) record(c *judge.Campaign, i int, seed uint64) (instrument.Recording, bool) {
	if i == d.Missing {
		return instrument.Recording{}, false
	}
	drive := c.Drives[i]
	rng := rand.New(rand.NewPCG(seed, uint64(i)))
	l := d.logger
	l.Probes = append([]instrument.Probe(nil), l.Probes...)
	for k := range l.Probes {
		if p := l.Probes[k].Place; drive.After && (p == instrument.Intake || p == instrument.Throat || p == instrument.Intake2) {
			l.Probes[k].RefitK += c.RefitK
		}
	}
	if i >= d.RenamedFrom && d.RenamedFrom >= 0 {
		l.Labels = d.renamed
	}
	if i == d.SwappedIn {
		l.Probes[d.swapA], l.Probes[d.swapB] = l.Probes[d.swapB], l.Probes[d.swapA]
	}
	l.StartS = rng.Float64() * 15
	if rng.IntN(8) == 0 {
		l.StartS += 60 * rng.Float64() // switched on late
	}
	rec := l.Read(drive.Trace, drive.Start, rng)
	d.powerOn(&rec)
	return rec, true
}

// files writes all drives' files; names[i] are those of drive i.
func (d *device) files(recs map[int]instrument.Recording, n int) (out []file, names map[int][]string) {
	names = map[int][]string{}
	var grown bytes.Buffer
	count := 0
	for i := range n {
		rec, ok := recs[i]
		if !ok {
			continue
		}
		count++
		if d.Growing {
			if count == 1 || d.Repeats {
				d.layout.header(&grown, &rec, d.serial)
			}
			d.layout.rows(&grown, &rec, 0, len(rec.Stamps))
			names[i] = []string{"LOG" + d.layout.Extension}
			continue
		}
		rows := d.SplitRows
		if rows == 0 {
			rows = len(rec.Stamps)
		}
		for part, from := 0, 0; from < len(rec.Stamps); part, from = part+1, from+rows {
			var w bytes.Buffer
			d.layout.header(&w, &rec, d.serial)
			d.layout.rows(&w, &rec, from, min(from+rows, len(rec.Stamps)))
			name := d.layout.fileName(rec.Stamps[0], count)
			if part > 0 {
				name += fmt.Sprintf("_%d", part+1)
			}
			name += d.layout.Extension
			names[i] = append(names[i], name)
			out = append(out, file{name, d.layout.encode(d.hurt(w.String()))})
		}
	}
	if d.Growing {
		out = append(out, file{"LOG" + d.layout.Extension, d.layout.encode(d.hurt(grown.String()))})
	}
	return out, names
}

// into puts files below a folder.
func into(dir string, files []file, names map[int][]string) []file {
	if dir == "" {
		return files
	}
	for i := range files {
		files[i].path = path.Join(dir, files[i].path)
	}
	for i := range names {
		for k := range names[i] {
			names[i][k] = path.Join(dir, names[i][k])
		}
	}
	return files
}
