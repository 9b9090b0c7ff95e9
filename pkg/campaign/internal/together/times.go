package together

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/internal/parallel"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// span is when a device recorded a drive, by its own clock; zero where its files
// have no date or can't be read.
type span struct{ from, to time.Time }

func (s span) known() bool { return !s.from.IsZero() }

func (s span) meets(o span) bool { return s.from.Before(o.to) && o.from.Before(s.to) }

// byDriveTimes returns, by their index, the requests of drives that have a device
// whose clock nothing in the readings tells, or whose files share no time as
// they are written, with what the campaign's drives tell of these clocks by when
// the devices recorded. The spans are those of the wanted drives and, behind them,
// of others; files are read for them only where such a drive is found.
func byDriveTimes(wanted []drive.Request, drives []*drive.Drive, failed []error, spans func() []map[string]span) map[int]drive.Request {
	open := func(i int) bool {
		if drives[i] != nil {
			return slices.ContainsFunc(drives[i].Clocks, untold)
		}
		stated := slices.ContainsFunc(wanted[i].Sources, func(s drive.Source) bool { return s.Clock != nil })
		return errors.Is(failed[i], drive.ErrNoOverlap) && !stated // what its owner stated is not doubted
	}
	again := map[int]drive.Request{}
	for i, r := range wanted {
		if !open(i) {
			continue
		}
		if r, found := roughly(r, drives[i], spans(), i); found {
			again[i] = r
		}
	}
	return again
}

// untold reports whether nothing tells how a device's clock stands although its
// files have a date.
func untold(c drive.DeviceClock) bool { return !c.Aligned() && !c.Undated }

// roughly gives the clocks of drive i that are not known to its request.
func roughly(r drive.Request, d *drive.Drive, spans []map[string]span, i int) (drive.Request, bool) {
	reference := referenceOf(r, d, spans[i])
	r.Sources = slices.Clone(r.Sources)
	found := false
	for k, s := range r.Sources {
		own := spans[i][s.Device]
		switch {
		case s.Device == reference:
			r.Sources[k].Clock = &clock.Result{} // stays the drive's clock
			continue
		case d != nil && s.Clock == nil && bySeveral(d, s.Device) != nil:
			r.Sources[k].Clock = bySeveral(d, s.Device)
			continue
		case !own.known():
			continue
		case d == nil && own.meets(spans[i][reference]):
			continue // its readings may tell
		case d != nil && !slices.ContainsFunc(d.Clocks, func(c drive.DeviceClock) bool { return c.Device == s.Device && untold(c) }):
			continue
		}
		var ran []clock.Ran
		at := 0
		for n, x := range spans {
			a, b := x[reference], x[s.Device]
			if a.known() && b.known() {
				if n == i {
					at = len(ran)
				}
				ran = append(ran, clock.Ran{FirstFrom: a.from, FirstTo: a.to, SecondFrom: b.from, SecondTo: b.to})
			}
		}
		if len(ran) == 0 {
			continue
		}
		if c, err := clock.FromDriveTimes(ran, at); err == nil {
			r.Sources[k].Clock, found = &c, true
		}
	}
	return r, found
}

// bySeveral is the clock of a device that several drives told; nil without.
func bySeveral(d *drive.Drive, device string) *clock.Result {
	for _, c := range d.Clocks {
		if c.Device == device && c.Result.Method == clock.SeveralDrives {
			return &c.Result
		}
	}
	return nil
}

// referenceOf is the device whose clock is the drive's; where the drive could not
// be joined, the one whose files meet most of the others'.
func referenceOf(r drive.Request, d *drive.Drive, spans map[string]span) string {
	if d != nil {
		if k := slices.IndexFunc(d.Clocks, func(c drive.DeviceClock) bool { return c.Reference }); k >= 0 {
			return d.Clocks[k].Device
		}
	}
	best, most := "", 0
	for _, s := range r.Sources {
		met := 0
		for _, o := range r.Sources {
			if spans[s.Device].known() && spans[o.Device].known() && spans[s.Device].meets(spans[o.Device]) {
				met++
			}
		}
		if met > most {
			best, most = s.Device, met
		}
	}
	return best
}

// spansOfAll reads when the devices of requests recorded.
func spansOfAll(all []drive.Request) []map[string]span {
	spans := make([]map[string]span, len(all))
	parallel.Each(len(all), func(i int) { spans[i] = spansOf(all[i]) })
	return spans
}

// spansOf reads when the devices of a request recorded.
func spansOf(r drive.Request) map[string]span {
	all := map[string]span{}
	for _, s := range r.Sources {
		var own span
		for _, path := range s.Files {
			rec, err := recording.Open(path, recording.Options{Layout: s.Layout})
			if err != nil || !rec.Dated {
				continue
			}
			if s.Session > 0 {
				if sessions := rec.Sessions(); s.Session <= len(sessions) {
					rec = sessions[s.Session-1]
				}
			}
			v := rec.Interval()
			from, to := rec.Start.Add(time.Duration(v.From*1e9)), rec.Start.Add(time.Duration(v.To*1e9))
			if !own.known() || from.Before(own.from) {
				own.from = from
			}
			if to.After(own.to) {
				own.to = to
			}
		}
		all[s.Device] = own
	}
	return all
}

// withoutUndated joins a drive without the files that have no date, where nothing
// tells when in the drive they began: the others hold, and a note says what is
// left out and why. The error is the first one where that does not help.
func withoutUndated(r drive.Request, why error) (*drive.Drive, error) {
	if !errors.Is(why, clock.ErrUndecided) {
		return nil, why
	}
	spans := spansOf(r)
	var left []estimate.Warning
	all := r.Sources
	r.Sources = nil
	for _, s := range all {
		if s.Clock == nil && len(s.Recordings) == 0 && !spans[s.Device].known() {
			left = append(left, estimate.Warning{Kind: estimate.LostReadings, Subject: s.Device, Text: fmt.Sprintf("%s is left out of the drive: %v", s.Shown, why)})
			continue
		}
		r.Sources = append(r.Sources, s)
	}
	if len(left) == 0 || len(r.Sources) == 0 {
		return nil, why
	}
	d, err := drive.Join(r)
	if err != nil {
		return nil, why
	}
	d.Notes = append(d.Notes, left...)
	return d, nil
}
