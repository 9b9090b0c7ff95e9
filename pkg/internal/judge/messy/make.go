// Package messy writes a campaign of the judge as it lies in an owner's
// folder, with the truth in another folder: loggers with layouts, clocks and
// languages of their own, a phone, junk. It describes formats by their shape;
// all names in it are invented.
//
// Make's folder is written by Write as
//
//	DIR/campaign/…          what the owner has
//	DIR/truth/truth.json    what truly happened (type Truth)
package messy

import (
	"fmt"
	"math/rand/v2"
	"path"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/instrument"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/road"
)

// Folder is one campaign as files, and its truth.
type Folder struct {
	files    []file
	Truth    Truth
	Campaign *judge.Campaign
}

// Make makes the folder of a seed with one of Rigs; an empty name takes the
// rigs in turn by seed. It fails when there is no such rig.
func Make(seed uint64, rigName string) (*Folder, error) {
	rigs := Rigs()
	rig := rigs[seed%uint64(len(rigs))]
	if rigName != "" {
		var err error
		if rig, err = RigNamed(rigName); err != nil {
			return nil, err
		}
	}
	rng := rand.New(rand.NewPCG(seed, 0x6d65737379))
	c, err := judge.Make(plan(seed, rig, rng))
	if err != nil {
		return nil, err
	}
	f := &Folder{Campaign: c}
	f.Truth = newTruth(seed, rig, c)
	zone := time.Duration(rng.IntN(3)) * time.Hour
	f.Truth.ZoneH = zone.Hours()
	for i, places := range [][]instrument.Place{rig.First, rig.Second} {
		if len(places) > 0 {
			f.logger(i, places, zone, rng)
		}
	}
	if !rig.NoPhone {
		f.phone(rng)
	}
	if rig.EngineReader {
		dev := DeviceTruth{Name: "engine reader", Shape: "CSV, running time without a date", Zone: "none"}
		for i, d := range c.Drives {
			x := engineReader(d, rng)
			f.files = append(f.files, x)
			f.use(x.path, dev.Name, i)
		}
		f.Truth.Devices = append(f.Truth.Devices, dev)
	}
	for _, x := range junk(languages[rng.IntN(len(languages))], rng) {
		f.files = append(f.files, x)
		f.Truth.Files = append(f.Truth.Files, FileTruth{Path: x.path})
	}
	return f, nil
}

// plan draws what the owner did.
func plan(seed uint64, rig Rig, rng *rand.Rand) judge.Plan {
	p := judge.Plan{
		Seed: seed, Before: 2 + rng.IntN(3), After: 2 + rng.IntN(3), Variant: rig.Variant,
		Order: judge.Orders()[rng.IntN(3)], ScatterK: 0.5 + 2*rng.Float64(), NoPulls: rig.NoPulls,
		Hop: !rig.NoHop && rng.IntN(2) == 0, Park: rng.IntN(4) == 0, StepS: []float64{2, 2, 2, 10, 5, 1}[rng.IntN(6)],
		Road: []road.Kind{road.Mixed, road.Mixed, road.Country}[rng.IntN(3)],
	}
	if rng.IntN(3) == 0 {
		p.Flaws = append(p.Flaws, judge.Flaws()[rng.IntN(len(judge.Flaws()))])
	}
	if rig.OneEach {
		p.Before, p.After, p.Hop = 1, 1, false
	}
	if rig.OneSide {
		p.Before, p.After, p.Order, p.Flaws = 4, 0, judge.InBlocks, nil
	}
	return p
}

// logger records and writes all drives of one logger.
func (f *Folder) logger(i int, places []instrument.Place, zone time.Duration, rng *rand.Rand) {
	c := f.Campaign
	l := c.Loggers[i]
	l.Clock.Zone = zone
	d := drawDevice(l, places, c.Rig, len(c.Drives), rng)
	recs := map[int]instrument.Recording{}
	for k := range c.Drives {
		if rec, ok := d.record(c, k, f.Truth.Seed^uint64(i+1)<<32); ok {
			recs[k] = rec
		}
	}
	files, names := d.files(recs, len(c.Drives))
	dir := ""
	if rng.IntN(4) == 0 {
		dir = "logger " + l.Name
	}
	files = into(dir, files, names)
	packing := "plain"
	switch rng.IntN(8) {
	case 0:
		packing, files = "gzip", gzipped(files, names)
	case 1:
		packing, files = "zip", zipped(path.Join(dir, "logger-"+strings.ToLower(l.Name)+".zip"), files, names)
	}
	// The same file name from both loggers would overwrite: then a folder.
	for _, x := range files {
		for _, y := range f.files {
			if strings.EqualFold(x.path, y.path) {
				files = into("second", files, names)
				break
			}
		}
	}
	f.files = append(f.files, files...)
	if packing == "plain" && rng.IntN(5) == 0 {
		f.copyOf(files[rng.IntN(len(files))])
	}
	f.Truth.Devices = append(f.Truth.Devices, d.truth(c, packing))
	for k := range c.Drives {
		for _, n := range names[k] {
			f.use(n, "logger "+l.Name, k)
		}
	}
}

// copyOf puts a second copy of a file into the folder.
func (f *Folder) copyOf(x file) {
	ext := path.Ext(x.path)
	name := strings.TrimSuffix(x.path, ext) + " (1)" + ext
	f.files = append(f.files, file{name, x.data})
	f.Truth.Files = append(f.Truth.Files, FileTruth{Path: name, CopyOf: x.path})
}

// phone writes the tracks; one of six drives has none.
func (f *Folder) phone(rng *rand.Rand) {
	c := f.Campaign
	shapes := []string{trackShapes[rng.IntN(len(trackShapes))], trackShapes[rng.IntN(len(trackShapes))]}
	change := len(c.Drives)
	if rng.IntN(3) == 0 { // another app from here on
		change = rng.IntN(len(c.Drives))
	}
	lang := languages[rng.IntN(len(languages))]
	dir := []string{"", "", "phone"}[rng.IntN(3)]
	for i, d := range c.Drives {
		if rng.IntN(6) == 0 && len(c.Drives) > 4 {
			continue
		}
		p := c.Phone
		p.StartS = rng.Float64() * 25
		shape := shapes[0]
		if i >= change {
			shape = shapes[1]
		}
		fixes := p.Track(d.Trace, d.Start, rng)
		if len(fixes) == 0 {
			continue
		}
		files := into(dir, track(shape, lang, fixes), nil)
		f.files = append(f.files, files...)
		f.use(files[0].path, "phone", i)
		for _, x := range files[1:] {
			f.Truth.Files = append(f.Truth.Files, FileTruth{Path: x.path})
		}
	}
	f.Truth.Devices = append(f.Truth.Devices, DeviceTruth{Name: "phone", Shape: strings.Join(shapes, "; then "), Zone: "UTC"})
}

// use notes that a file belongs to a drive; a file may belong to many.
func (f *Folder) use(name, device string, drive int) {
	d := &f.Truth.Drives[drive]
	d.Files = append(d.Files, name)
	for i := range f.Truth.Files {
		if f.Truth.Files[i].Path == name {
			f.Truth.Files[i].Drives = append(f.Truth.Files[i].Drives, d.Name)
			return
		}
	}
	f.Truth.Files = append(f.Truth.Files, FileTruth{Path: name, Used: true, Device: device, Drives: []string{d.Name}})
}

// String names the folder.
func (f *Folder) String() string {
	return fmt.Sprintf("seed %d, %s: %d drives, %d files", f.Truth.Seed, f.Truth.Rig, len(f.Campaign.Drives), len(f.files))
}
