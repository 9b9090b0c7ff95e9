//go:build proof && unix

package verdict_test

import (
	"encoding/gob"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge"
	"github.com/bonnetbook/bonnetbook/pkg/internal/proving"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// side is how many drives of each configuration a car of a pool makes.
const side = 10

// pooled is one drive of a car, run once through the pipeline.
type pooled struct {
	Name  string
	After bool
	Start time.Time
	Warm  bool // it began with a warm engine
	Roles bool // its channels look swapped
	OddK  float64
	Rises []pooledRise
}

// pooledRise is a [compare.DriveRise] as it is stored.
type pooledRise struct {
	ID                          compare.StratumID
	Mean, Ambient, Speed, Since float64 // K, K, m/s, s
	Shared                      []estimate.Contribution
	Ground                      []compare.Cell
}

// pool is one car's drives in their order in time.
type pool struct {
	Drives []pooled
}

// proofSeed is what the cars of all conditions are drawn with.
const proofSeed = 20261129

// stock is a condition's cars and what they cost to make.
type stock struct {
	Cars    []pool
	Seconds float64 // of processor time
	read    bool    // made by an earlier run
}

// poolsOf makes the drives of so many cars, or reads those that an earlier run
// left in the folder BONNETBOOK_PROOF_POOL: draws are cheap, drives are not.
func poolsOf(t *testing.T, c condition, cars int) stock {
	var all stock
	start, path := processorSeconds(), ""
	if folder := os.Getenv("BONNETBOOK_PROOF_POOL"); folder != "" {
		path = filepath.Join(folder, fmt.Sprintf("%s %d.gob", strings.ReplaceAll(c.name, ":", " to "), cars))
		f, err := os.Open(path)
		if err == nil {
			defer f.Close()
			if err := gob.NewDecoder(f).Decode(&all); err != nil {
				t.Fatalf("%s: %v; delete it", path, err)
			}
			all.read = true
			return all
		}
		if !errors.Is(err, fs.ErrNotExist) {
			t.Fatal(err)
		}
	}
	for _, seed := range proving.Seeds(proofSeed, cars) {
		if c.own {
			all.Cars = append(all.Cars, drivesOfOwn(t, seed))
		} else {
			all.Cars = append(all.Cars, drivesOf(t, c.plan, seed))
		}
	}
	all.Seconds = processorSeconds() - start
	if path != "" {
		f, err := os.Create(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(gob.NewEncoder(f).Encode(all), f.Close()); err != nil {
			t.Fatal(err)
		}
	}
	return all
}

// drivesOf makes one car's drives and takes them through the pipeline.
func drivesOf(t *testing.T, p judge.Plan, seed uint64) pool {
	p.Seed, p.Before, p.After = seed, side, side
	p.Flaws = append([]judge.Flaw{judge.SameConfiguration}, p.Flaws...)
	made, err := judge.Make(p)
	if err != nil {
		t.Fatal(err)
	}
	var one pool
	var drives []*drive.Drive
	for i, d := range made.Drives {
		x, err := proving.Drive(made, d)
		if err != nil {
			t.Fatal(err)
		}
		x.Configuration = configuration(d.After)
		drives = append(drives, x)
		one.Drives = append(one.Drives, pooled{Name: x.Name, After: d.After, Start: x.Start})
		if i == made.Odd {
			one.Drives[i].OddK = made.OddK
		}
	}
	one.measure(t, drives)
	return one
}

// measure takes the drives through the pipeline.
func (one *pool) measure(t *testing.T, drives []*drive.Drive) {
	runs, _ := verdict.Cut(drives, segment.DefaultRules())
	for _, run := range runs {
		rises, err := compare.Rises([]compare.Run{{Drive: run.Drive, Segments: run.Segments}}, compare.DefaultRules())
		if err != nil {
			t.Fatal(err)
		}
		d := &one.Drives[slices.IndexFunc(one.Drives, func(d pooled) bool { return d.Name == run.Drive.Name })]
		for _, r := range rises {
			d.Rises = append(d.Rises, pooledRise{r.Identity(), float64(r.Mean), r.Ambient.Kelvin(), float64(r.Speed), r.SinceOpening, r.Shared, r.Ground})
		}
		alone := verdict.Answer{Before: "before", After: "after", Runs: []verdict.Run{run}, Rises: rises}
		for _, f := range alone.Judge(campaign.InPlace).Flaws {
			d.Warm = d.Warm || f.Kind == verdict.FlawWarmStart
			d.Roles = d.Roles || f.Kind == verdict.FlawRoles
		}
	}
}

func configuration(after bool) string {
	if after {
		return "after"
	}
	return "before"
}

// rises are those of a drive with what was planted after the change.
func (d pooled) rises(planted float64) []compare.DriveRise {
	var all []compare.DriveRise
	for _, r := range d.Rises {
		if d.After {
			r.Mean += planted
		}
		rise := compare.DriveRise{Drive: d.Name, Configuration: configuration(d.After), ID: r.ID, Mean: quantity.KelvinDifference(r.Mean),
			Ambient: quantity.Kelvin(r.Ambient), Speed: quantity.Speed(r.Speed), SinceOpening: r.Since, Start: d.Start, Shared: r.Shared, Ground: r.Ground}
		rise.Temperature = rise.Ambient.Add(rise.Mean)
		all = append(all, rise)
	}
	return all
}

// blocked says whether what concerns whole drives takes the word from a
// campaign of these.
func blocked(drives []pooled) bool {
	var warm [2]int
	for _, d := range drives {
		if d.Roles {
			return true
		}
		if d.Warm && slices.ContainsFunc(d.Rises, func(r pooledRise) bool { return !math.IsNaN(r.Mean) }) {
			if d.After {
				warm[1]++
			} else {
				warm[0]++
			}
		}
	}
	return (warm[0] == 0) != (warm[1] == 0)
}
