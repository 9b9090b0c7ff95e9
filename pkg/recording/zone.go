package recording

import (
	"fmt"
	"slices"
	"time"
)

// applyZone brings stamps to UTC where the layout names their zone, gives a
// date to times of day where the layout has one, and undoes week rollovers.
func (t *table) applyZone(l Layout) error {
	if l.Date != "" && !t.dated() {
		day, err := time.Parse("2006-01-02", l.Date)
		if err != nil {
			return fmt.Errorf("%s: layout: %w", t.file, err)
		}
		t.base = day.Unix()
		if t.times == TimeOfDay {
			t.dayless()
		}
		t.times = Stamp
		if !slices.ContainsFunc(t.found.Findings, func(f Finding) bool { return f.Property == "date" }) {
			t.note("date", l.Date, "layout")
		}
	}
	if l.WeekRollovers != 0 {
		t.base += int64(l.WeekRollovers) * 1024 * 7 * 86400
		t.account.Changes = append(t.account.Changes, Change{Rows: len(t.time), What: fmt.Sprintf("%d times 1024 weeks added to the dates", l.WeekRollovers)})
	}
	if l.Zone == "" || t.zone || !t.dated() {
		return nil
	}
	loc, err := parseZone(l.Zone)
	if err != nil {
		return fmt.Errorf("%s: layout: %w", t.file, err)
	}
	t.toUTC(loc)
	t.zone = true
	t.note("zone", l.Zone, "layout")
	return nil
}

// dayless adds a day at each midnight to times of day, so that they can carry
// a date.
func (t *table) dayless() {
	shift, last := 0.0, 0.0
	for i, v := range t.time {
		if i > 0 && last-v > 12*3600 {
			shift += 86400
			t.account.Changes = append(t.account.Changes, Change{Line: t.lines.of(i), Rows: len(t.time) - i, What: "midnight: 24 h added"})
		}
		last = v
		t.time[i] = v + shift
	}
}

// toUTC takes the zone's offset off the times. In the hour that is run through
// twice when summer time ends, a time belongs to the second pass if it would
// otherwise step back.
func (t *table) toUTC(loc *time.Location) {
	offsetAt := func(utc float64) (float64, float64, float64) {
		at := time.Unix(t.base+int64(utc), 0).In(loc)
		_, off := at.Zone()
		from, to := at.ZoneBounds()
		lo, hi := -1e18, 1e18
		if !from.IsZero() {
			lo = float64(from.Unix() - t.base)
		}
		if !to.IsZero() {
			hi = float64(to.Unix() - t.base)
		}
		return float64(off), lo, hi
	}
	if len(t.time) == 0 {
		return
	}
	// The offset in force at the first row: the one of the day before if it
	// gives that local time, else the one of the day after. In the hour that
	// occurs twice the first is the earlier.
	const day = 86400
	off, from, to := offsetAt(t.time[0] - day)
	if t.time[0]-off >= to {
		off, from, to = offsetAt(t.time[0] + day)
	}
	if next, _, _ := offsetAt(to + 1); t.time[0]-off < to && t.time[0]-next >= to {
		t.warnings.add(clockDoubtful, t.file, "the first row lies in the hour that occurs twice when summer time ends: the earlier is taken")
	}
	last := t.time[0] - off
	for i, local := range t.time {
		utc := local - off
		if utc >= to || utc < from {
			guess, _, _ := offsetAt(utc)
			off, from, to = offsetAt(local - guess)
			utc = local - off
		}
		if utc < last-1800 { // the hour's second pass
			if next, nFrom, nTo := offsetAt(to + 1); off-next > 0 && utc+off-next >= to && utc+(off-next) >= last {
				off, from, to = next, nFrom, nTo
				utc = local - off
				t.account.Changes = append(t.account.Changes, Change{Line: t.lines.of(i), Rows: len(t.time) - i,
					What: fmt.Sprintf("summer time ends: offset %+.3g h from here", off/3600)})
			}
		}
		t.time[i] = utc
		last = utc
	}
}
