//go:build proof

package campaign_test

import (
	"fmt"
	"maps"
	"math"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/messy"
)

// clockTally counts what was said of clocks by one way of telling.
type clockTally struct {
	n, inside, near, within int // within is within its own limit
	width                   float64
}

// How often the clocks of a folder's devices are told, and how often the truth
// lies in the interval: folders of the second model, whose loggers are wrong by
// minutes and drift, whose probes lag and whose phones smooth, drafted, answered
// and joined as their owner would. Whole hours are the zone's affair.
func TestClocksOfFolders(t *testing.T) {
	tallies := map[string]*clockTally{}
	campaigns, right, untold, lost, near, strict := 0, 0, 0, 0, 0, 0
	for i := range *seeds {
		seed := *firstSeed + uint64(i)
		f := clocksOf(t, seed, tallies)
		untold, lost = untold+f.untold, lost+f.lost
		if f.told > 0 {
			campaigns++
		}
		if f.told > 0 && f.good {
			right++
		}
		if f.told > 0 && f.near {
			near++
		}
		if f.told > 0 && f.strict {
			strict++
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Clocks of %d folders by internal/judge/messy, seeds from %d on: each device of each drive beside the drive's clock.\n", *seeds, *firstSeed)
	fmt.Fprintf(&b, "Repeat: go test -tags proof -run TestClocksOfFolders ./pkg/campaign -firstseed %d -seeds %d -store\n\n", *firstSeed, *seeds)
	fmt.Fprintf(&b, "%-34s %6s %18s %14s %18s %14s\n", "told by", "clocks", "truth inside", "within 10 s", "within its limit", "mean width / s")
	total := clockTally{}
	row := func(name string, c clockTally) {
		fmt.Fprintf(&b, "%-34s %6d %18s %12.1f %% %18s %14.1f\n", name, c.n, rate(c.inside, c.n), 100*float64(c.near)/float64(max(1, c.n)), rate(c.within, c.n), c.width/float64(max(1, c.n)))
	}
	for _, name := range slices.Sorted(maps.Keys(tallies)) {
		c := tallies[name]
		row(name, *c)
		total.n, total.inside, total.near, total.width = total.n+c.n, total.inside+c.inside, total.near+c.near, total.width+c.width
		total.within += c.within
	}
	row("all", total)
	fmt.Fprintf(&b, "\nnot told: %d clocks; drives that could not be joined: %d\n", untold, lost)
	fmt.Fprintf(&b, "folders in which the truth of every clock is inside or within 10 s: %d of %d\n", right, campaigns)
	fmt.Fprintf(&b, "folders in which every clock that the readings tell is within 10 s: %d of %d, %s\n", near, campaigns, rate(near, campaigns))
	fmt.Fprintf(&b, "... is within its limit, 2 s by shared quantities alone and 10 s where motion has a part: %d of %d, %s\n", strict, campaigns, rate(strict, campaigns))
	t.Log("\n" + b.String())
	if *store {
		if err := os.WriteFile("testdata/clocks.txt", []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if p := float64(total.inside) / float64(max(1, total.n)); total.n == 0 || p < 0.93-2.5*math.Sqrt(p*(1-p)/float64(total.n)) {
		t.Errorf("%d of %d hold", total.inside, total.n)
	}
}

// rate is a share in percent with its standard error.
func rate(k, n int) string {
	p := float64(k) / float64(max(1, n))
	return fmt.Sprintf("%.1f ± %.1f %%", 100*p, 100*math.Sqrt(p*(1-p)/float64(max(1, n))))
}

// folderClocks is what came of a folder's clocks.
type folderClocks struct {
	told, untold, lost int
	good, near, strict bool // inside or within 10 s; what the readings tell within 10 s, within its limit
}

func clocksOf(t *testing.T, seed uint64, tallies map[string]*clockTally) (out folderClocks) {
	f, err := messy.Make(seed, "")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), fmt.Sprint(seed))
	if err := f.Write(dir); err != nil {
		t.Fatal(err)
	}
	dir = filepath.Join(dir, "campaign")
	s, err := campaign.Draft(dir)
	if err != nil {
		t.Fatal(err)
	}
	if s, err = campaign.DraftWith(dir, campaign.DraftOptions{Answers: answersOf(f.Truth, s)}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Save(); err != nil {
		t.Fatal(err)
	}
	c, err := campaign.Open(filepath.Join(dir, "campaign.toml"))
	if err != nil {
		t.Logf("seed %d: %v", seed, err)
		return out
	}
	set, err := c.Gather()
	if err != nil {
		t.Logf("seed %d: %v", seed, err)
		return out
	}
	for _, l := range set.LeftOut {
		out.lost++
		t.Logf("seed %d (%s): %v", seed, f.Truth.Rig, l)
	}
	out.good, out.near, out.strict = true, true, true
	for _, d := range set.Drives {
		for _, k := range d.Clocks {
			want, known := offsetOf(f.Truth, d, k)
			if k.Reference || k.Undated || !known {
				continue
			}
			if !k.Aligned() {
				out.untold++
				t.Logf("seed %d (%s), %s: %v", seed, f.Truth.Rig, d.Name, k)
				continue
			}
			out.told++
			r := k.Result
			off := math.Remainder(r.Offset-want, 3600)
			inside := off >= r.Offset-r.Interval.To && off <= r.Offset-r.Interval.From
			m, limit := fmt.Sprint(r.Method), 10.0
			switch {
			case r.Method != clock.SharedQuantity:
			case byMotion(d, k):
				m += ", by way of motion"
			default:
				limit = 2
			}
			if tallies[m] == nil {
				tallies[m] = &clockTally{}
			}
			tallies[m].n++
			tallies[m].width += r.Interval.Duration()
			if inside {
				tallies[m].inside++
			}
			if math.Abs(off) <= limit {
				tallies[m].within++
			} else if r.Method != clock.DriveTimes {
				out.strict = false
			}
			if math.Abs(off) <= 10 {
				tallies[m].near++
			} else if r.Method != clock.DriveTimes {
				out.near = false
			}
			if !inside {
				out.good = out.good && math.Abs(off) <= 10
			}
			if !inside || math.Abs(off) > limit {
				t.Logf("seed %d (%s), %s, %s: off by %+.1f s, %v", seed, f.Truth.Rig, d.Name, k.Device, off, r)
			}
		}
	}
	return out
}

// byMotion reports whether a device was compared with another one whose own clock
// is told by more than shared quantities.
func byMotion(d *drive.Drive, k drive.DeviceClock) bool {
	via := slices.IndexFunc(d.Clocks, func(c drive.DeviceClock) bool { return c.Device == k.Result.Via })
	if k.Result.Via == "" || via < 0 || d.Clocks[via].Reference {
		return false
	}
	return d.Clocks[via].Result.Method != clock.SharedQuantity || byMotion(d, d.Clocks[via])
}

// offsetOf is what has to be added to a device's stamps to bring them to the
// drive's clock, by the truth: known where the drive of the truth is.
func offsetOf(truth messy.Truth, d *drive.Drive, k drive.DeviceClock) (offset float64, known bool) {
	file := func(p string) (messy.FileTruth, bool) {
		var same []messy.FileTruth // of the name, in other folders
		for _, f := range truth.Files {
			switch {
			case !f.Used:
			case f.Path == p || strings.HasPrefix(p, f.Path+"/"):
				return f, true
			case path.Base(f.Path) == path.Base(p):
				same = append(same, f)
			}
		}
		if len(same) != 1 {
			return messy.FileTruth{}, false
		}
		return same[0], true
	}
	which := ""
	for _, c := range d.Clocks {
		if f, ok := file(c.File); ok && len(f.Drives) == 1 {
			which = f.Drives[0]
		}
	}
	errorOf := func(c drive.DeviceClock) (float64, bool) {
		f, ok := file(c.File)
		if !ok {
			return 0, false
		}
		for _, t := range truth.Devices {
			if t.Name == f.Device {
				e, has := t.ErrorS[which]
				return e, has || t.Zone == "UTC" && len(t.ErrorS) == 0
			}
		}
		return 0, false
	}
	own, ok := errorOf(k)
	for _, c := range d.Clocks {
		if c.Reference {
			reference, has := errorOf(c)
			return reference - own, ok && has && which != ""
		}
	}
	return 0, false
}
