package drive

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// Join reads what is not read yet, gives the columns their roles, brings all
// devices onto one clock and returns the drive. It is the one way to a drive:
// campaign files and [Assemble] end here too.
//
// The drive's clock is that of the first source with a Clock, else of the
// first with a date, else of the first. Each other device is compared with
// those whose clocks are settled, by events that both saw or by what their
// data share. Where nothing tells, its times are taken as written, and
// [DeviceClock.Aligned] and [Drive.Checks] say so.
//
// It fails, naming all files at fault, where a file cannot be read, a column
// is not found or has no unit, a role needs another quantity, no column has a
// usable value, a file without date or time of day cannot be aligned, or a
// recording shares no time with the others ([ErrNoOverlap]).
func Join(r Request) (*Drive, error) {
	if len(r.Sources) == 0 {
		return nil, fmt.Errorf("drive %q cannot be assembled: it has no source; name at least one device's file or recording", r.Name)
	}
	members := make([]member, len(r.Sources))
	var failed []error
	for i, s := range r.Sources {
		m, err := s.read()
		if err != nil {
			failed = append(failed, err)
		}
		members[i] = m
	}
	if err := errors.Join(failed...); err != nil {
		return nil, fmt.Errorf("drive %q cannot be assembled: %w", r.Name, err)
	}
	return joined(r, members)
}

// JoinAll joins one drive for each request, in order. Those that can't be
// joined are left out with the reason, and the others hold. Clocks that one
// drive does not tell are told by all of them where they do so ([Together]).
func JoinAll(requests ...Request) Set {
	var all Set
	drives := make([]*Drive, len(requests))
	for i, r := range requests {
		d, err := Join(r)
		if err != nil {
			all.LeftOut = append(all.LeftOut, LeftOut{Drive: r.Name, Configuration: r.Configuration, Step: Joining, Why: err})
			continue
		}
		drives[i] = d
	}
	Together(requests, drives)
	all.Drives = slices.DeleteFunc(drives, func(d *Drive) bool { return d == nil })
	return all
}

// member is one device's part on its way onto the drive's clock.
type member struct {
	Part
	start       time.Time // of the recording, on the device's clock
	dated       bool
	elapsedOnly bool // counts seconds from no known instant
	zoneKnown   bool
	given       bool                 // the caller gave the clock
	read        *recording.Recording // what Inputs are from; nil for bare series
	sync        []time.Time
}

// joined settles the clocks and puts the parts together.
func joined(r Request, members []member) (*Drive, error) {
	opts := r.Clocks
	if opts == (clock.Options{}) {
		opts = clock.DefaultOptions()
	}
	if err := settleFrom(r.Cache, members, opts); err != nil {
		return nil, fmt.Errorf("drive %q: %w", r.Name, err)
	}
	parts := make([]Part, len(members))
	for i, m := range members {
		parts[i] = m.Part
	}
	d, err := putTogether(r.Name, r.Configuration, parts, r.Intakes)
	if err != nil {
		return nil, err
	}
	for i, m := range members {
		d.Clocks[i].Undated = !m.dated
	}
	var files []*recording.Recording
	for _, m := range members {
		if m.read != nil {
			files = append(files, m.read)
		}
	}
	d.Units = r.Units.Or(UnitsOf(files...))
	return d, nil
}

// read returns the source's recording with its columns in their roles.
func (s Source) read() (member, error) {
	m := member{sync: s.Sync}
	m.Device, m.File = s.Device, s.Shown
	pieces := append([]*recording.Recording(nil), s.Recordings...)
	for _, path := range s.Files {
		r, err := recording.Open(path, recording.Options{Layout: s.Layout})
		if err != nil {
			return m, err
		}
		pieces = append(pieces, r)
	}
	if len(pieces) == 0 {
		return m, fmt.Errorf("device %q: neither a recording nor a file is named", s.Device)
	}
	if s.Session != 0 {
		for i, p := range pieces {
			all := p.Sessions()
			if s.Session < 1 || s.Session > len(all) {
				return m, fmt.Errorf("%s has %d sessions, and session %d is asked for; count again, or leave the session out to take the whole file", p.File, len(all), s.Session)
			}
			pieces[i] = all[s.Session-1]
		}
	}
	r := pieces[0]
	if len(pieces) > 1 {
		var err error
		if r, err = recording.Join(pieces...); err != nil {
			return m, err
		}
	}
	if m.File == "" {
		m.File = shownFiles(pieces)
	}
	m.start, m.dated, m.zoneKnown = r.Start, r.Dated, r.ZoneKnown
	m.elapsedOnly = !r.Dated && r.Start.IsZero()
	if s.Clock != nil {
		m.given, m.Clock = true, *s.Clock
		m.Reference = isZeroClock(m.Clock)
	}
	inputs, warnings, err := inputs(s, r)
	if err != nil {
		return m, err
	}
	m.Inputs, m.read = inputs, r
	m.Warnings = append(warnings, r.Warnings...)
	for _, x := range r.Separate {
		m.Warnings = append(m.Warnings, estimate.Warning{Kind: estimate.LostReadings, Text: fmt.Sprintf("%d rows have a clock that does not fit the others and are left out", x.Rows())})
	}
	if n := len(r.Account.Rejects); n > 0 {
		m.Warnings = append(m.Warnings, estimate.Warning{Kind: estimate.LostReadings, Text: fmt.Sprintf("%d of %d %s rejected; the account of the file lists them", n, r.Account.Lines, r.Account.Unit)})
	}
	return m, nil
}

func shownFiles(pieces []*recording.Recording) string {
	names := make([]string, len(pieces))
	for i, p := range pieces {
		names[i] = p.File
	}
	return strings.Join(names, " + ")
}

// isZeroClock reports whether the clock changes nothing and was not the
// outcome of any method.
func isZeroClock(c clock.Result) bool {
	return c.Method == clock.AsWritten && c.Offset == 0 && c.Drift == 0
}
