package drive_test

import (
	"math"
	"os"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	. "github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// kept is a request for two loggers with a probe in the same place, the second
// of which is 37 s late.
func kept(t *testing.T, cache string, change float64) Request {
	t.Helper()
	f := func(t float64) float64 { return 300 + 10*math.Sin(t/40) + 7*math.Sin(t/173) + change }
	of := func(name string, from float64) *recording.Recording {
		s := channel(series.Temperature, 0, 1800, 2, func(t float64) float64 { return f(t + from) })
		s.Name = name
		return &recording.Recording{File: name, Start: s.Start, Dated: true, ZoneKnown: true, Account: &recording.Account{}, Columns: []*recording.Column{{Name: "T", Number: 2, Series: s, Dimension: series.Temperature, Unit: "K"}}}
	}
	source := func(name string, from float64) Source {
		return Source{Device: name, Recordings: []*recording.Recording{of(name, from)}, Columns: []Column{{Name: "T", Role: Intake}}}
	}
	return Request{Name: "one", Sources: []Source{source("a", 0), source("b", 37)}, Cache: cache}
}

func join(t *testing.T, r Request) *Drive {
	t.Helper()
	d, err := Join(r)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// What is kept gives the very same drive; another reading, or a damaged file,
// is worked out afresh.
func TestClocksAreKept(t *testing.T) {
	cache := filepath.Join(t.TempDir(), "clocks")
	plain, first := join(t, kept(t, "", 0)), join(t, kept(t, cache, 0))
	files := func() []string {
		all, err := filepath.Glob(filepath.Join(cache, "*"))
		if err != nil {
			t.Fatal(err)
		}
		return all
	}
	if len(files()) != 1 {
		t.Fatalf("the cache holds %q", files())
	}
	before, err := os.Stat(files()[0])
	if err != nil {
		t.Fatal(err)
	}
	second := join(t, kept(t, cache, 0))
	for i := range plain.Clocks {
		a, b, c := plain.Clocks[i].Result, first.Clocks[i].Result, second.Clocks[i].Result
		if a.Offset != b.Offset || b.Offset != c.Offset || b.Interval != c.Interval || b.Method != c.Method || !reflect.DeepEqual(b.Warnings, c.Warnings) || !b.Origin.Equal(c.Origin) || len(b.Profile.Offset) != len(c.Profile.Offset) {
			t.Errorf("clock %d: %v, %v, %v", i, a, b, c)
		}
	}
	if !reflect.DeepEqual(first.Channels[Intake].Series.Time, second.Channels[Intake].Series.Time) {
		t.Error("another drive")
	}
	if after, err := os.Stat(files()[0]); err != nil || !after.ModTime().Equal(before.ModTime()) {
		t.Error("the file was written again")
	}
	join(t, kept(t, cache, 1e-9))
	if len(files()) != 2 {
		t.Error("another reading was taken for the same")
	}
	for _, f := range files() {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		data[len(data)/2] ^= 1
		if err := os.WriteFile(f, data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if d := join(t, kept(t, cache, 0)); d.Clocks[1].Result.Offset != plain.Clocks[1].Result.Offset {
		t.Error("a damaged file was believed")
	}
}

// What somebody else found is read where the environment says so; nothing is
// written there, and nothing of one's own is needed for it.
func TestClocksOfOthers(t *testing.T) {
	theirs, own := t.TempDir(), filepath.Join(t.TempDir(), "clocks")
	plain := join(t, kept(t, filepath.Join(theirs, "clocks"), 0))
	files, err := filepath.Glob(filepath.Join(theirs, "clocks", "*"))
	if err != nil || len(files) != 1 {
		t.Fatalf("%q, %v", files, err)
	}
	t.Setenv("BONNETBOOK_CACHE_SHARED", theirs)
	if d := join(t, kept(t, own, 0)); d.Clocks[1].Result.Offset != plain.Clocks[1].Result.Offset {
		t.Error("another clock")
	}
	if _, err := os.Stat(own); !os.IsNotExist(err) {
		t.Errorf("it was worked out afresh: %v", err)
	}
	join(t, kept(t, own, 1e-9))
	if all, _ := filepath.Glob(filepath.Join(theirs, "clocks", "*")); len(all) != 1 {
		t.Errorf("something was written to the folder of others: %q", all)
	}
	if all, _ := filepath.Glob(filepath.Join(own, "*")); len(all) != 1 {
		t.Errorf("what others have not found is kept as usual: %q", all)
	}
	if err := os.Truncate(files[0], 40); err != nil {
		t.Fatal(err)
	}
	if d := join(t, kept(t, filepath.Join(t.TempDir(), "c"), 0)); d.Clocks[1].Result.Offset != plain.Clocks[1].Result.Offset {
		t.Error("a damaged file was believed")
	}
}

// What other drives tell of a clock comes with the request: a drive whose third
// clock was kept beside it has the clock as it is given now, and the third is as
// unsure as that makes it.
func TestGivenClocksAreNotThoseOfBefore(t *testing.T) {
	const never = 820_796_000.0 // behind, as a clock that was never set
	cache := filepath.Join(t.TempDir(), "clocks")
	files := 0
	for _, c := range []struct {
		what    string
		anew    bool // the third depends on it
		half    float64
		drives  int
		warning string
		search  float64
		name    string
	}{
		{"first", true, 80, 3, "", 0, "T"},
		{"another drive agrees", false, 80, 4, "", 0, "T"},
		{"another drive warns", false, 80, 4, "it was switched on late", 0, "T"},
		{"another drive differs", true, 140, 4, "", 0, "T"},
		{"wider search", true, 80, 3, "", never + 100, "T"},
		{"search still wider", true, 80, 3, "", never + 200, "T"},
		{"another column", true, 80, 3, "", 0, "T2"},
	} {
		given := clock.Result{Method: clock.DriveTimes, Drives: c.drives, Offset: never, Interval: series.Interval{From: never - c.half, To: never + c.half}}
		if c.warning != "" {
			given.Warnings = []estimate.Warning{{Kind: estimate.ClockDoubtful, Text: c.warning}}
		}
		three := func(cache string) Request {
			r, late := kept(t, cache, 0), kept(t, cache, 0).Sources[1]
			own := r.Sources[1].Recordings[0]
			own.Start = own.Start.Add(-never * time.Second)
			own.Columns[0].Series.Start = own.Start
			r.Sources[0].Clock, r.Sources[1].Clock = &clock.Result{}, &given
			late.Device = "c"
			late.Columns[0].Role = EngineBay
			late.Recordings[0].Columns[0].Series.Name = c.name
			r.Sources[1].Columns[0].Role = EngineBay
			r.Sources = append(r.Sources, late)
			if c.search != 0 {
				r.Clocks = clock.DefaultOptions()
				r.Clocks.Search = series.Interval{From: -c.search, To: c.search}
			}
			return r
		}
		plain, again := join(t, three("")), join(t, three(cache))
		for i, want := range plain.Clocks {
			got := again.Clocks[i]
			if got.String() != want.String() || got.Result.Interval != want.Result.Interval || !got.Result.Origin.Equal(want.Result.Origin) || got.Reference != want.Reference {
				t.Errorf("%s: %v %v, want %v %v", c.what, got, got.Result.Interval, want, want.Result.Interval)
			}
		}
		all, err := filepath.Glob(filepath.Join(cache, "*"))
		if c.anew {
			files++
		}
		if err != nil || len(all) != files {
			t.Errorf("%s: %d files, want %d, error %v", c.what, len(all), files, err)
		}
	}
}

// One recording, or clocks that are all stated, leave nothing to find: a file
// would cost more than it saves.
func TestNothingIsKeptWhereNothingIsFound(t *testing.T) {
	cache := filepath.Join(t.TempDir(), "clocks")
	one := kept(t, cache, 0)
	one.Sources = one.Sources[:1]
	join(t, one)
	stated := kept(t, cache, 0)
	for i, offset := range []float64{0, 37} {
		k := clock.Stated(offset, 0, 1, time.Time{})
		stated.Sources[i].Clock = &k
	}
	if d := join(t, stated); d.Clocks[1].Result.Offset != 37 {
		t.Errorf("clocks %v", d.Clocks)
	}
	if _, err := os.Stat(cache); !os.IsNotExist(err) {
		t.Errorf("something was kept: %v", err)
	}
}

func TestCacheFolder(t *testing.T) {
	t.Setenv("BONNETBOOK_CACHE", "off")
	if f := CacheFolder(); f != "" {
		t.Errorf("folder %q", f)
	}
	t.Setenv("BONNETBOOK_CACHE", "there")
	if f := CacheFolder(); f != filepath.Join("there", "clocks") {
		t.Errorf("folder %q", f)
	}
}
