package campaign

import (
	"fmt"
	"io/fs"
	"maps"
	"math"
	"path"
	"path/filepath"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

func (c *Campaign) readDrive(t *table) {
	e := Entry{
		Name:          t.text("name", true, "open filters, first run"),
		Configuration: t.text("configuration", true, "open filters"),
		Note:          t.text("note", false, "free text"),
		line:          t.node.line,
		key:           t.path,
	}
	for _, other := range c.Entries {
		unique(t, "drive", e.Name, other.Name)
	}
	var names []string
	known := false
	for _, k := range c.Configurations {
		names = append(names, k.Name)
		known = known || k.Name == e.Configuration
	}
	switch {
	case e.Configuration == undecided:
		t.problems.add(t.line("configuration"), t.key("configuration"), "this needs you: which configuration was driven? One of %s", quoteAll(names))
	case e.Configuration != "" && !known:
		t.problems.add(t.line("configuration"), t.key("configuration"), "there is no configuration %q; the file has %s%s", e.Configuration, quoteAll(names), suggestion(e.Configuration, names))
	}
	e.Weather = readWeather(t)
	c.stated(t)
	e.readWarmth(t)
	files := t.list("file", true)
	for _, s := range files {
		e.Files = append(e.Files, c.readFile(s))
	}
	checkSync(t, e.Files)
	for _, s := range t.list("exclude", false) {
		e.Excluded = append(e.Excluded, readExclusion(s))
	}
	for _, s := range t.list("full-throttle", false) {
		e.FullThrottle = append(e.FullThrottle, readFullThrottle(s))
	}
	c.checkOnce(files, e)
	t.done()
	c.Entries = append(c.Entries, e)
}

func (c *Campaign) readFile(t *table) File {
	f := File{Device: t.text("device", true, "logger A"), line: t.node.line, key: t.path}
	f.Paths = c.readPaths(t)
	f.Session = t.count("session", false, "2", 1, 10000)
	var names []string
	known := false
	for _, d := range c.Devices {
		names = append(names, d.Name)
		known = known || d.Name == f.Device
	}
	if f.Device != "" && !known {
		t.problems.add(t.line("device"), t.key("device"), "there is no device %q; the file has %s%s", f.Device, quoteAll(names), suggestion(f.Device, names))
	}
	const decades = 50 * 366 * 86400
	f.ClockOffset = t.quantity("clock-offset", false, quantity.KindDuration, -decades, decades)
	f.ClockDrift = orZero(t.quantity("clock-drift", false, quantity.KindClockDrift, -0.01, 0.01))
	f.ClockUncertainty = t.quantity("clock-uncertainty", false, quantity.KindDuration, 0, 86400)
	f.Sync = readSync(t)
	if len(f.Sync) > 0 && !math.IsNaN(f.ClockOffset) {
		t.problems.add(t.line("sync"), t.key("sync"), "give either clock-offset or sync, not both: which one counts?")
	}
	t.done()
	return f
}

// checkOnce demands that a log counts once. A track of a whole evening may
// serve several drives that have a logger's file of their own; drives of the
// same files only are cut from them by exclusions.
func (c *Campaign) checkOnce(tables []*table, e Entry) {
	seen := map[string]bool{}
	for i, f := range e.Files {
		t := tables[i]
		for _, p := range f.Paths {
			if p = f.part(p); seen[p] {
				t.problems.add(t.line("path"), t.key("path"), "%q is named twice in this drive; a log counts once: name the other device's file, or leave this one out", p)
			}
			seen[p] = true
		}
	}
	for _, other := range c.Entries {
		own := slices.ContainsFunc(slices.Collect(maps.Keys(seen)), func(p string) bool { return !other.uses(p) })
		if len(seen) == 0 || own || len(e.Excluded)+len(other.Excluded) > 0 {
			continue
		}
		t := tables[0]
		t.problems.add(t.line("path"), t.key("path"), "this drive has no other files than drive %q, so that the same data would count twice; name this drive's own log, or cut both drives out of it with [[drive.exclude]]", other.Name)
	}
}

func (e Entry) uses(log string) bool {
	return slices.ContainsFunc(e.Files, func(f File) bool {
		return slices.ContainsFunc(f.Paths, func(p string) bool { return f.part(p) == log })
	})
}

// part names what of a file is meant.
func (f File) part(p string) string { return survey.Part(p, f.Session) }

// readPaths reads path, one file, or a list of files that continue one
// another.
func (c *Campaign) readPaths(t *table) []string {
	n := t.get("path", true, `"open-1-a.csv"`)
	if n == nil {
		return nil
	}
	items := n.items
	if items == nil {
		items = []*node{n}
	}
	if len(items) == 0 {
		t.problems.add(n.line, t.key("path"), "the list of files is empty")
	}
	var paths []string
	for _, item := range items {
		s, ok := item.scalar.(string)
		if !ok {
			t.problems.add(item.line, t.key("path"), "found %s where a file name in quotation marks is wanted", item.describe())
			continue
		}
		if c.checkPath(t, item.line, t.key("path"), s) {
			paths = append(paths, s)
		}
	}
	return paths
}

// syncForms are the ways in which the time of a sync event may be written. A
// time of day alone belongs to the first day of the device's recording.
var syncForms = []string{time.RFC3339Nano, "2006-01-02T15:04:05", "2006-01-02 15:04:05", "15:04:05", "15:04"}

func readSync(t *table) []time.Time {
	n := t.get("sync", false, "")
	if n == nil {
		return nil
	}
	if n.items == nil {
		t.problems.add(n.line, t.key("sync"), `found %s where a list of times is wanted, for example ["2026-05-03 10:14:05"]`, n.describe())
		return nil
	}
	var all []time.Time
	for _, item := range n.items {
		s, _ := item.scalar.(string)
		at, err := parseInstant(s)
		if err != nil {
			t.problems.add(item.line, t.key("sync"), "%s is not a time; write what this device's clock showed, for example \"2026-05-03 10:14:05\" or \"10:14:05\"", item.describe())
			continue
		}
		if len(all) > 0 && !at.After(all[len(all)-1]) {
			t.problems.add(item.line, t.key("sync"), "sync events must be listed in the order in which they happened")
		}
		all = append(all, at)
	}
	return all
}

func parseInstant(s string) (time.Time, error) {
	for _, form := range syncForms {
		if at, err := time.Parse(form, s); err == nil {
			return at, nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is not a time", s)
}

// checkSync demands that the devices of a drive list the same events.
func checkSync(t *table, files []File) {
	first := -1
	for i, f := range files {
		switch {
		case len(f.Sync) == 0:
		case first < 0:
			first = i
		case len(f.Sync) != len(files[first].Sync):
			t.problems.add(f.line, f.key+".sync", "%q lists %d sync events but %q lists %d; every device must list the same events in the same order",
				f.Device, len(f.Sync), files[first].Device, len(files[first].Sync))
		}
	}
	synced := 0
	for _, f := range files {
		if len(f.Sync) > 0 {
			synced++
		}
	}
	if synced == 1 {
		t.problems.add(files[first].line, files[first].key+".sync", "only %q lists sync events; a sync event joins clocks only if at least two devices have seen it", files[first].Device)
	}
}

func readExclusion(t *table) Exclusion {
	span := readStretch(t)
	x := Exclusion{From: span.From, To: span.To, Reason: t.text("reason", true, "bonnet open at the filling station"), Role: t.role("role")}
	t.done()
	return x
}

// readStretch reads a stretch of the drive, in seconds after its start.
func readStretch(t *table) series.Interval {
	x := series.Interval{
		From: orZero(t.quantity("from", true, quantity.KindDuration, -1e6, 1e6)),
		To:   orZero(t.quantity("to", true, quantity.KindDuration, -1e6, 1e6)),
	}
	if t.has("from") && t.has("to") && !(x.To > x.From) {
		t.problems.add(t.line("to"), t.key("to"), "the stretch ends before it begins: from is %g s and to is %g s after the start of the drive; exchange or correct them", x.From, x.To)
	}
	return x
}

// readFullThrottle reads a stretch of which the owner says whether the throttle
// was fully open.
func readFullThrottle(t *table) drive.StatedStretch {
	x := drive.StatedStretch{Interval: readStretch(t), Holds: t.choice("was", []string{"full", "not full"}) != "not full"}
	if !t.has("was") {
		t.problems.add(t.node.line, t.key("was"), "say was = \"full\" where the throttle was fully open, or was = \"not full\" where it was not")
	}
	t.done()
	return x
}

// logNames lists the files beside a path, to suggest one for a misspelt name.
func (c *Campaign) logNames(misspelt string) []string {
	dir := path.Dir(misspelt)
	entries, err := fs.ReadDir(c.root.FS(), filepath.ToSlash(path.Clean(dir)))
	if err != nil {
		return nil
	}
	var names []string
	for _, e := range entries {
		if e.Type().IsRegular() {
			names = append(names, path.Join(dir, e.Name()))
		}
	}
	return names
}
