package campaign

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// assemble reads the files of one entry, brings them onto one clock and makes
// the drive.
func (c *Campaign) assemble(e Entry) (*drive.Drive, error) {
	parts := make([]drive.Part, len(e.Files))
	records := make([]*recording.Recording, len(e.Files))
	var failed []error
	for i, f := range e.Files {
		var err error
		records[i], parts[i], err = c.readPart(f)
		if err != nil {
			failed = append(failed, err)
		}
	}
	if err := errors.Join(failed...); err != nil {
		return nil, fmt.Errorf("%s:%d: drive %q cannot be assembled: %w", c.Path, e.line, e.Name, err)
	}
	if err := joinClocks(e, parts, records); err != nil {
		return nil, fmt.Errorf("%s:%d: drive %q: %w", c.Path, e.line, e.Name, err)
	}
	d, err := drive.Assemble(e.Name, e.Configuration, parts)
	if err != nil {
		return nil, fmt.Errorf("%s:%d: %w", c.Path, e.line, err)
	}
	for _, x := range e.Excluded {
		var roles []drive.Role
		if x.Role != "" {
			roles = []drive.Role{x.Role}
		}
		d = d.Exclude(series.Interval{From: x.From, To: x.To}, x.Reason, roles...)
	}
	d.Weather, err = e.Weather.resolve(d)
	if err != nil {
		return nil, fmt.Errorf("%s:%d: drive %q: %w", c.Path, e.line, e.Name, err)
	}
	return d, nil
}

func (c *Campaign) device(name string) Device {
	for _, d := range c.Devices {
		if d.Name == name {
			return d
		}
	}
	return Device{}
}

// readPart reads one device's file or files.
func (c *Campaign) readPart(f File) (*recording.Recording, drive.Part, error) {
	d := c.device(f.Device)
	part := drive.Part{Device: d.Name, File: strings.Join(f.Paths, " + ")}
	var pieces []*recording.Recording
	for _, path := range f.Paths {
		r, err := recording.Open(c.join(path), recording.Options{Layout: d.Layout})
		if err != nil {
			return nil, part, err
		}
		pieces = append(pieces, r)
	}
	r := pieces[0]
	if len(pieces) > 1 {
		var err error
		if r, err = recording.Join(pieces...); err != nil {
			return nil, part, err
		}
	}
	ins, warnings, err := inputs(d, r)
	if err != nil {
		return nil, part, err
	}
	part.Inputs = ins
	part.Warnings = append(warnings, r.Warnings...)
	for _, s := range r.Separate {
		part.Warnings = append(part.Warnings, fmt.Sprintf("%d rows have a clock that does not fit the others and are left out", s.Rows()))
	}
	if n := len(r.Account.Rejects); n > 0 {
		part.Warnings = append(part.Warnings, fmt.Sprintf("%d of %d %s rejected; recording.Open lists them", n, r.Account.Lines, r.Account.Unit))
	}
	return r, part, nil
}

// joinClocks sets the clock of each part. The drive's clock is that of the
// first file with a stated offset, or else of the first file with a date, or
// else of the first file.
func joinClocks(e Entry, parts []drive.Part, records []*recording.Recording) error {
	ref := reference(e.Files, records)
	for i := range parts {
		if !records[i].Dated && records[ref].Dated {
			giveDate(&parts[i], records[i], records[ref].Start)
		}
	}
	for i, f := range e.Files {
		if stated := !math.IsNaN(f.ClockOffset); stated {
			parts[i].Clock = clock.Stated(f.ClockOffset, f.ClockDrift, f.ClockUncertainty, records[i].Start)
		}
	}
	parts[ref].Reference = parts[ref].Clock.Offset == 0 && parts[ref].Clock.Drift == 0
	settled := make([]bool, len(parts))
	for i, f := range e.Files {
		settled[i] = i == ref || !math.IsNaN(f.ClockOffset)
	}
	return e.chainClocks(parts, records, settled)
}

// chainClocks brings the clocks that are not settled yet onto the drive's, each
// by way of the settled recording that it can be compared with best: two
// loggers with a probe in the same place are joined better to each other than
// either to a phone.
func (e Entry) chainClocks(parts []drive.Part, records []*recording.Recording, settled []bool) error {
	type link struct {
		result clock.Result
		width  float64 // of the link's own interval
		err    error
	}
	tried := map[[2]int]link{}
	for {
		best, via, open := -1, -1, -1
		var found clock.Result
		width := math.Inf(1)
		for i := range parts {
			if settled[i] {
				continue
			}
			open = i
			for j := range parts {
				if !settled[j] {
					continue
				}
				l, done := tried[[2]int{j, i}]
				if !done {
					l.result, l.width, l.err = e.findClock(j, i, parts, records)
					tried[[2]int{j, i}] = l
				}
				if l.err == nil && (best < 0 || l.width < width) {
					best, via, found, width = i, j, l.result, l.width
				}
			}
		}
		switch {
		case open < 0:
			return nil
		case best >= 0:
			if len(parts) > 2 && via >= 0 {
				found.Via = parts[via].Device
			}
			parts[best].Clock, settled[best] = found, true
		default:
			for j := range parts {
				if settled[j] {
					r, err := asWritten(parts[j], parts[open], records[j], records[open], tried[[2]int{j, open}].result, tried[[2]int{j, open}].err)
					if err != nil {
						return err
					}
					parts[open].Clock, settled[open] = r, true
					break
				}
			}
		}
	}
}

func reference(files []File, records []*recording.Recording) int {
	for i, f := range files {
		if !math.IsNaN(f.ClockOffset) {
			return i
		}
	}
	for i, r := range records {
		if r.Dated {
			return i
		}
	}
	return 0
}

// giveDate puts an undated recording on the day of the reference: its own time
// of day if it has one, otherwise the reference's start. The clock estimate
// moves it to where it belongs.
func giveDate(p *drive.Part, r *recording.Recording, ref time.Time) {
	start := ref
	if !r.Start.IsZero() {
		start = time.Date(ref.Year(), ref.Month(), ref.Day(), r.Start.Hour(), r.Start.Minute(), r.Start.Second(), r.Start.Nanosecond(), time.UTC)
		if d := start.Sub(ref); d > 12*time.Hour {
			start = start.Add(-24 * time.Hour)
		} else if d < -12*time.Hour {
			start = start.Add(24 * time.Hour)
		}
	}
	for i, in := range p.Inputs {
		moved := *in.Series
		moved.Start = start
		p.Inputs[i].Series = &moved
	}
	p.Warnings = append(p.Warnings, fmt.Sprintf("the file has no date; its first row was put at %s", start.Format("2006-01-02 15:04:05")))
}

// findClock brings file i onto the drive's clock by way of file j, whose clock
// is settled: by sync events, or by what the data show.
// The width is that of the comparison alone, without the uncertainty of j.
func (e Entry) findClock(j, i int, parts []drive.Part, records []*recording.Recording) (r clock.Result, width float64, err error) {
	r, err = e.compareClocks(j, i, parts, records)
	if err != nil {
		return r, math.Inf(1), err
	}
	width = r.Interval.Duration()
	own := parts[j].Clock.Interval
	if half := own.Duration() / 2; half > 0 && !math.IsInf(half, 0) { // j's own uncertainty counts too
		lower, upper := r.Offset-r.Interval.From, r.Interval.To-r.Offset
		r.Interval = series.Interval{From: r.Offset - math.Hypot(lower, half), To: r.Offset + math.Hypot(upper, half)}
	}
	return r, width, nil
}

func (e Entry) compareClocks(j, i int, parts []drive.Part, records []*recording.Recording) (clock.Result, error) {
	a, b := e.Files[j].Sync, e.Files[i].Sync
	if len(a) == 0 || len(b) == 0 {
		return clock.Estimate(channels(parts[j]), channels(parts[i]), clock.DefaultOptions())
	}
	first, second := make([]time.Time, len(a)), make([]time.Time, len(b))
	for k := range a {
		first[k] = parts[j].Clock.At(onDay(a[k], records[j].Start))
		second[k] = onDay(b[k], records[i].Start)
	}
	return clock.FromEvents(first, second, clock.Events{})
}

// asWritten takes both clocks as they are, if they can be, and says so.
func asWritten(ref, part drive.Part, a, b *recording.Recording, tried clock.Result, why error) (clock.Result, error) {
	r := clock.Result{Method: clock.AsWritten, Profile: tried.Profile, Interval: series.Interval{From: math.Inf(-1), To: math.Inf(1)}}
	advice := fmt.Sprintf("state clock-offset for %s (added to that file's times), or list an event that both devices saw as sync in both files", part.File)
	if (!a.Dated && a.Start.IsZero()) != (!b.Dated && b.Start.IsZero()) {
		return r, fmt.Errorf("%s and %s: %w, and one of them counts elapsed time only; %s", ref.File, part.File, why, advice)
	}
	w := fmt.Sprintf("%v; both clocks are taken as written; to be sure, %s", why, advice)
	if a.ZoneKnown != b.ZoneKnown {
		local := part.File
		if b.ZoneKnown {
			local = ref.File
		}
		w += fmt.Sprintf("; %s carries no time zone while the other file does: set time-zone for its device", local)
	}
	r.Warnings = append(r.Warnings, w)
	return r, nil
}

// onDay completes a time of day with the day of the recording's start.
func onDay(t, start time.Time) time.Time {
	if t.Year() > 0 {
		return t
	}
	day := time.Date(start.Year(), start.Month(), start.Day(), t.Hour(), t.Minute(), t.Second(), t.Nanosecond(), start.Location())
	if day.Before(start.Add(-12 * time.Hour)) {
		day = day.Add(24 * time.Hour)
	}
	return day
}

// channels hands a part's channels to the clock estimate, which knows of
// quantities but of no roles.
func channels(p drive.Part) []clock.Channel {
	var all []clock.Channel
	underBonnet := slices.ContainsFunc(p.Inputs, func(in drive.Input) bool {
		return in.Role == drive.Intake || in.Role == drive.EngineBay || in.Role == drive.RadiatorAir
	})
	for _, in := range p.Inputs {
		if in.Series.Len() == 0 {
			continue
		}
		start := p.Clock.At(in.Series.Start)
		ch := clock.Channel{Series: p.Clock.Apply(in.Series, start), Place: string(in.Role)}
		switch in.Role {
		case drive.Speed:
			ch.Kind = clock.RoadSpeed
		case drive.Intake, drive.EngineBay, drive.RadiatorAir:
			ch.Kind = clock.AirTemperature
		case drive.Ambient: // answers to motion only where the car warms it
			if !underBonnet {
				ch.Kind = clock.AirTemperature
			}
		}
		all = append(all, ch)
	}
	return all
}
