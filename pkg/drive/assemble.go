package drive

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/sensor"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Input is one column of a recording that plays a role.
type Input struct {
	Role Role
	// Series is on the device's own clock, with a start that is a date.
	Series      *series.Series
	Column      string
	Unit        string // in which the file's numbers were read; may be empty
	Calibration sensor.Calibration
	Rank        int // see [Column]
	// Repairs and Warnings are what reading the file had to say.
	Repairs  []string
	Warnings []estimate.Warning
}

// Part is what one device contributes to a drive.
type Part struct {
	Device string
	File   string
	Inputs []Input
	// Clock brings the device's times onto the drive's clock; the zero value
	// asks for an estimate, unless Reference is set.
	Clock clock.Result
	// Reference says that the drive's clock is this device's.
	Reference bool
	// Warnings are about the recording as a whole.
	Warnings []estimate.Warning
}

// Kinds of notes about a drive, beside those of package estimate.
const (
	NoReadings    estimate.Kind = "no readings"    // a channel without a usable value
	MeasuredTwice estimate.Kind = "measured twice" // two channels of one role
)

// about puts the name of a file or device in front of a warning's subject.
func about(name string, w estimate.Warning) estimate.Warning {
	if w.Subject != "" && w.Subject != filepath.Base(name) {
		name += ", " + w.Subject
	}
	w.Subject = name
	return w
}

// ErrNoOverlap is wrapped where the recordings of one drive have no common
// time.
var ErrNoOverlap = clock.ErrNoOverlap

// Assemble is [Join] for series that do not come from a recording. A part
// without Reference whose Clock is zero is aligned with the others; where that
// can't be done the drive's clocks and checks say so. A series whose Start has
// no year has no date. It fails as Join does.
func Assemble(name, configuration string, parts []Part) (*Drive, error) {
	members := make([]member, len(parts))
	for i, p := range parts {
		m := member{Part: p, given: p.Reference || !isZeroClock(p.Clock), zoneKnown: true}
		for _, in := range p.Inputs {
			if in.Series != nil {
				m.start = in.Series.Start
				break
			}
		}
		m.dated = m.start.Year() > 1
		m.elapsedOnly = m.start.IsZero()
		members[i] = m
	}
	if len(members) == 0 {
		return nil, fmt.Errorf("drive %q has no parts; give at least one device's series", name)
	}
	return joined(Request{Name: name, Configuration: configuration}, members)
}

// putTogether gives each channel its role. Where a role occurs twice the one of
// smaller rank plays it, of equal ones the first, and the other is kept in Others. Values are corrected by their
// calibration and nothing else; nothing is interpolated.
func putTogether(name, configuration string, parts []Part, intakes int) (*Drive, error) {
	d := &Drive{Name: name, Configuration: configuration, Channels: map[Role]*Channel{}}
	start, err := earliest(name, parts)
	if err != nil {
		return nil, err
	}
	d.Start = start
	type played struct {
		Part
		Input
	}
	var all []played
	for _, p := range parts {
		k := DeviceClock{Device: p.Device, File: p.File, Reference: p.Reference, Result: p.Clock}
		d.Clocks = append(d.Clocks, k)
		for _, w := range p.Warnings {
			d.Notes = append(d.Notes, about(p.File, w))
		}
		if k.Aligned() { // what is not aligned is one of the checks
			for _, w := range p.Clock.Warnings {
				d.Notes = append(d.Notes, about("clock of "+p.Device, w))
			}
		}
		for _, in := range p.Inputs {
			all = append(all, played{p, in})
		}
	}
	slices.SortStableFunc(all, func(a, b played) int { return a.Rank - b.Rank })
	for _, x := range all {
		if err := d.add(x.Part, x.Input); err != nil {
			return nil, err
		}
	}
	d.joinIntakes(parts, intakes)
	if err := checkOverlap(d, parts); err != nil {
		return nil, err
	}
	return d, nil
}

func earliest(name string, parts []Part) (time.Time, error) {
	var start time.Time
	found := false // a file of elapsed seconds starts at the zero time
	for _, p := range parts {
		for _, in := range p.Inputs {
			if in.Series == nil || in.Series.Present() == 0 {
				continue
			}
			if at := p.Clock.At(in.Series.At(0)); !found || at.Before(start) {
				start, found = at, true
			}
		}
	}
	if !found {
		return start, fmt.Errorf("drive %q: none of the files (%s) has a single usable value in a column that has a role; check that the probes were connected and that the roles name the right columns", name, fileList(parts))
	}
	return start, nil
}

func fileList(parts []Part) string {
	var files []string
	for _, p := range parts {
		files = append(files, p.File)
	}
	return strings.Join(files, ", ")
}

func (d *Drive) add(p Part, in Input) error {
	want, ok := in.Role.Dimension()
	if !ok {
		return fmt.Errorf("drive %q: %s column %s: %q is not a role", d.Name, p.File, in.Column, in.Role)
	}
	if in.Series == nil {
		return fmt.Errorf("drive %q: %s column %s has no series", d.Name, p.File, in.Column)
	}
	if in.Series.Dimension != want {
		return fmt.Errorf("drive %q: %s column %s measures a %v, but the role %q needs a %v; correct the role, or state the column's unit in the layout", d.Name, p.File, in.Column, in.Series.Dimension, in.Role, want)
	}
	s := p.Clock.Apply(in.Series, d.Start)
	s.Name = string(in.Role)
	ch := &Channel{
		Role: in.Role, Series: s, Device: p.Device, Unit: in.Unit,
		Source:      fmt.Sprintf("%s, column %s", p.File, in.Column),
		Column:      in.Column,
		Uncertainty: in.Calibration.Uncertainty.Kelvins(),
		Repairs:     append([]string(nil), in.Repairs...),
		Warnings:    slices.Clone(in.Warnings),
		Calibration: in.Calibration,
	}
	if !in.Calibration.IsZero() {
		if want != series.Temperature {
			return fmt.Errorf("drive %q: %s column %s: a temperature calibration cannot be applied to a %v", d.Name, p.File, in.Column, want)
		}
		ch.Series = s.With(s.Name, s.Dimension, in.Calibration.ApplyAll(s.Value))
	}
	if _, high := s.MinMax(s.Interval()); in.Role == Throttle && high > 1.5 { // no share from 0 to 1
		if high < 10 {
			d.Notes = append(d.Notes, estimate.Warning{Kind: NoReadings, Subject: string(in.Role), Text: fmt.Sprintf("%s goes up to %.3g, which is neither a share of 1 nor percent; the drive goes on without it", ch.Source, high)})
			return nil
		}
		values := slices.Clone(s.Value)
		for i := range values {
			values[i] /= 100
		}
		ch.Series = s.With(s.Name, s.Dimension, values)
		ch.Repairs = append(ch.Repairs, "taken for percent")
	}
	if s.Present() == 0 {
		d.Notes = append(d.Notes, estimate.Warning{Kind: NoReadings, Subject: string(in.Role), Text: fmt.Sprintf("%s has no usable value: an open probe, or the wrong column; the drive goes on without it", ch.Source)})
		return nil
	}
	if first, taken := d.Channels[in.Role]; taken {
		d.Others = append(d.Others, ch)
		d.Notes = append(d.Notes, estimate.Warning{Kind: MeasuredTwice, Subject: string(in.Role), Text: fmt.Sprintf("measured twice; %s is used, %s serves for checks", first.Source, ch.Source)})
		return nil
	}
	d.Channels[in.Role] = ch
	return nil
}

// checkOverlap demands that each recording shares time with some other.
func checkOverlap(d *Drive, parts []Part) error {
	if len(parts) < 2 {
		return nil
	}
	spans := make([]series.Interval, len(parts))
	for i, p := range parts {
		spans[i] = series.Interval{From: math.Inf(1), To: math.Inf(-1)}
		for _, in := range p.Inputs {
			if in.Series == nil {
				continue
			}
			v := p.Clock.Apply(in.Series, d.Start).Interval()
			if !v.IsEmpty() {
				spans[i].From, spans[i].To = min(spans[i].From, v.From), max(spans[i].To, v.To)
			}
		}
	}
	var problems []error
	for i := range parts {
		if spans[i].IsEmpty() {
			continue
		}
		alone, others := true, 0
		for j := range parts {
			if i != j && !spans[j].IsEmpty() {
				others++
				alone = alone && spans[i].Intersect(spans[j]).IsEmpty()
			}
		}
		if alone && others > 0 {
			problems = append(problems, fmt.Errorf("%s runs from %s to %s", parts[i].File, d.clockTime(spans[i].From), d.clockTime(spans[i].To)))
		}
	}
	if len(problems) == 0 {
		return nil
	}
	return fmt.Errorf("drive %q: %w: %w; check the dates and time zones of the devices, or state clock-offset for one of the files (it is added to that file's times)", d.Name, ErrNoOverlap, errors.Join(problems...))
}

func (d *Drive) clockTime(t float64) string {
	return d.Start.Add(time.Duration(t * 1e9)).Format("2006-01-02 15:04:05 MST")
}

// Exclude returns d with the values of a stretch set to missing: of the named
// roles, or of all. The reason is kept with each channel.
func (d *Drive) Exclude(v series.Interval, reason string, roles ...Role) *Drive {
	out := *d
	out.Channels = map[Role]*Channel{}
	for r, c := range d.Channels {
		out.Channels[r] = c
		if len(roles) > 0 && !contains(roles, r) {
			continue
		}
		values := append([]float64(nil), c.Series.Value...)
		n := 0
		for i, t := range c.Series.Time {
			if v.Contains(t) && !math.IsNaN(values[i]) {
				values[i] = math.NaN()
				n++
			}
		}
		if n == 0 {
			continue
		}
		changed := *c
		changed.Series = c.Series.With(c.Series.Name, c.Series.Dimension, values)
		changed.Repairs = append(append([]string(nil), c.Repairs...), fmt.Sprintf("%d values in %v left out: %s", n, v, reason))
		out.Channels[r] = &changed
	}
	return &out
}

func contains(roles []Role, r Role) bool {
	for _, x := range roles {
		if x == r {
			return true
		}
	}
	return false
}
