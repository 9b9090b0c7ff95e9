package repair

import (
	"fmt"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Zone brings stamps to UTC where the layout names their zone, gives a
// date to times of day where the layout has one, and undoes week rollovers.
func Zone(t *table.Table, l layout.Layout) error {
	if l.Date != "" && !t.Dated() {
		day, err := time.Parse("2006-01-02", l.Date)
		if err != nil {
			return fmt.Errorf("%s: layout: %w", t.File, err)
		}
		t.Base = day.Unix()
		if t.Times == layout.TimeOfDay {
			dayless(t)
		}
		t.Times = layout.Stamp
		if !slices.ContainsFunc(t.Findings.Findings, func(f account.Finding) bool { return f.Property == "date" }) {
			t.Note("date", l.Date, "layout")
		}
	}
	if l.WeekRollovers != 0 {
		t.Base += int64(l.WeekRollovers) * 1024 * 7 * 86400
		t.Account.Changes = append(t.Account.Changes, account.Change{Rows: len(t.Time), What: fmt.Sprintf("%d times 1024 weeks added to the dates", l.WeekRollovers)})
	}
	if l.Zone == "" || t.Zone || !t.Dated() {
		return nil
	}
	loc, err := layout.Zone(l.Zone)
	if err != nil {
		return fmt.Errorf("%s: layout: %w", t.File, err)
	}
	toUTC(t, loc)
	t.Zone = true
	t.Note("zone", l.Zone, "layout")
	return nil
}

// dayless adds a day at each midnight to times of day, so that they can carry
// a date.
func dayless(t *table.Table) {
	shift, last := 0.0, 0.0
	for i, v := range t.Time {
		if i > 0 && last-v > 12*3600 {
			shift += 86400
			t.Account.Changes = append(t.Account.Changes, account.Change{Line: t.Lines.Of(i), Rows: len(t.Time) - i, What: "midnight: 24 h added"})
		}
		last = v
		t.Time[i] = v + shift
	}
}

// toUTC takes the zone's offset off the times. In the hour that is run through
// twice when summer time ends, a time belongs to the second pass if it would
// otherwise step back.
func toUTC(t *table.Table, loc *time.Location) {
	offsetAt := func(utc float64) (float64, float64, float64) {
		at := time.Unix(t.Base+int64(utc), 0).In(loc)
		_, off := at.Zone()
		from, to := at.ZoneBounds()
		lo, hi := -1e18, 1e18
		if !from.IsZero() {
			lo = float64(from.Unix() - t.Base)
		}
		if !to.IsZero() {
			hi = float64(to.Unix() - t.Base)
		}
		return float64(off), lo, hi
	}
	if len(t.Time) == 0 {
		return
	}
	// The offset in force at the first row: the one of the day before if it
	// gives that local time, else the one of the day after. In the hour that
	// occurs twice the first is the earlier.
	const day = 86400
	off, from, to := offsetAt(t.Time[0] - day)
	if t.Time[0]-off >= to {
		off, from, to = offsetAt(t.Time[0] + day)
	}
	if next, _, _ := offsetAt(to + 1); t.Time[0]-off < to && t.Time[0]-next >= to {
		t.Warnings.Add(estimate.ClockDoubtful, t.Name(), "the first row lies in the hour that occurs twice when summer time ends: the earlier is taken")
	}
	last := t.Time[0] - off
	for i, local := range t.Time {
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
				t.Account.Changes = append(t.Account.Changes, account.Change{Line: t.Lines.Of(i), Rows: len(t.Time) - i,
					What: fmt.Sprintf("summer time ends: offset %+.3g h from here", off/3600)})
			}
		}
		t.Time[i] = utc
		last = utc
	}
}
