package campaign

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/together"
	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// assembleAll makes the drives of some entries; those of all entries tell of their
// clocks.
func (c *Campaign) assembleAll(entries []Entry) ([]*drive.Drive, []error) {
	var wanted, others []drive.Request
	for _, e := range entries {
		wanted = append(wanted, c.request(e))
	}
	for _, e := range c.Entries {
		if !slices.ContainsFunc(entries, func(w Entry) bool { return w.Name == e.Name }) {
			others = append(others, c.request(e))
		}
	}
	memory := c.clocks
	if memory == nil { // a campaign that was not opened
		memory = &together.Memory{}
	}
	drives, failed := memory.Join(wanted, others)
	for i, e := range entries {
		if failed[i] != nil {
			failed[i] = fmt.Errorf("%s:%d: %w", c.Path, e.line, failed[i])
			continue
		}
		drives[i], failed[i] = c.complete(e, drives[i])
	}
	return drives, failed
}

// complete adds to a drive what the file says beside the logs: what to leave
// out, and the weather.
func (c *Campaign) complete(e Entry, d *drive.Drive) (*drive.Drive, error) {
	var err error
	for _, x := range e.Excluded {
		var roles []drive.Role
		if x.Role != "" {
			roles = []drive.Role{x.Role}
		}
		d = d.Exclude(series.Interval{From: x.From, To: x.To}, x.Reason, roles...)
	}
	d.Weather, err = e.Weather.Resolve(d)
	if err != nil {
		return nil, fmt.Errorf("%s:%d: drive %q: %w", c.Path, e.line, e.Name, err)
	}
	e.Weather.StandIn(d)
	d.FullThrottle = e.FullThrottle
	d.RatedPower, d.Mass = c.Engine.RatedPower, c.Car.Mass
	d.DragArea, d.RollingResistance = c.Car.DragArea, c.Car.RollingResistance
	d.Warming = c.warming(e)
	return d, nil
}

// Request returns what the file says of the drive of that name, as
// [drive.Join] wants it: change it there where the file can't say it. The
// error names the drives that there are.
func (c *Campaign) Request(name string) (drive.Request, error) {
	e, err := c.entry(name)
	if err != nil {
		return drive.Request{}, err
	}
	return c.request(e), nil
}

func (c *Campaign) request(e Entry) drive.Request {
	r := drive.Request{Name: e.Name, Configuration: e.Configuration, Intakes: c.intakeProbes(), Units: c.Units, Cache: drive.CacheFolder()}
	for _, f := range e.Files {
		r.Sources = append(r.Sources, c.source(f))
	}
	return r
}

func (c *Campaign) source(f File) drive.Source {
	d := c.device(f.Device)
	s := drive.Source{Device: d.Name, Layout: d.Layout, Shown: strings.Join(f.Paths, " + "), Sync: f.Sync, Session: f.Session}
	for _, p := range f.Paths {
		s.Files = append(s.Files, c.join(p))
	}
	// The probes of the campaign's first device play the roles, in every drive,
	// whichever log began first; spare ones come last.
	first := slices.IndexFunc(c.Devices, func(o Device) bool { return o.Name == d.Name })
	for _, ch := range d.Channels {
		rank := first
		if ch.Spare {
			rank += len(c.Devices)
		}
		s.Columns = append(s.Columns, drive.Column{Name: ch.Column, Role: ch.Role, Calibration: ch.Calibration, Rank: rank})
	}
	if !math.IsNaN(f.ClockOffset) {
		k := clock.Stated(f.ClockOffset, f.ClockDrift, f.ClockUncertainty, time.Time{})
		s.Clock = &k
	}
	return s
}

func (c *Campaign) device(name string) Device {
	for _, d := range c.Devices {
		if d.Name == name {
			return d
		}
	}
	return Device{}
}
