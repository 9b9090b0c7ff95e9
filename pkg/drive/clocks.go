package drive

import (
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// DeviceClock says how one recording came onto the drive's clock.
type DeviceClock struct {
	Device, File string
	Reference    bool
	// Undated says that the file has no date, so that its clock begins anew with
	// each file.
	Undated bool
	Result  clock.Result
}

// Aligned reports whether the device's times are known to be on the drive's
// clock: it is the drive's, or its offset was given or found. Otherwise they
// are taken as the device wrote them.
func (c DeviceClock) Aligned() bool { return c.Reference || c.Result.Method != clock.AsWritten }

// String says it in one line.
func (c DeviceClock) String() string {
	if c.Reference {
		return fmt.Sprintf("%s (%s): the drive's clock", c.Device, c.File)
	}
	return fmt.Sprintf("%s (%s): %v", c.Device, c.File, c.Result)
}

// settleClocks sets the clock of each member, see [Join].
func settleClocks(members []member, opts clock.Options) error {
	ref := reference(members)
	settled := make([]bool, len(members))
	for i := range members {
		m := &members[i]
		if !m.dated && members[ref].dated {
			m.giveDate(members[ref].start)
		}
		m.setOrigin()
		settled[i] = i == ref || m.given
	}
	if c := members[ref].Clock; c.Offset == 0 && c.Drift == 0 {
		members[ref].Reference = true
	}
	return chainClocks(members, settled, opts)
}

// setOrigin sets the instant at which a clock holds that was given without one.
func (m *member) setOrigin() {
	if m.given && m.Clock.Origin.IsZero() {
		m.Clock.Origin = m.start
	}
}

func reference(members []member) int {
	if i := slices.IndexFunc(members, func(m member) bool { return m.given }); i >= 0 {
		return i
	}
	return max(0, slices.IndexFunc(members, func(m member) bool { return m.dated }))
}

// giveDate puts an undated recording on the day of the reference: its own time
// of day if it has one, otherwise the reference's start. The clock estimate
// moves it to where it belongs.
func (m *member) giveDate(ref time.Time) {
	start := ref
	if !m.start.IsZero() {
		start = time.Date(ref.Year(), ref.Month(), ref.Day(), m.start.Hour(), m.start.Minute(), m.start.Second(), m.start.Nanosecond(), time.UTC)
		if d := start.Sub(ref); d > 12*time.Hour {
			start = start.Add(-24 * time.Hour)
		} else if d < -12*time.Hour {
			start = start.Add(24 * time.Hour)
		}
	}
	inputs := slices.Clone(m.Inputs)
	for i, in := range inputs {
		if in.Series != nil {
			moved := *in.Series
			moved.Start = start
			inputs[i].Series = &moved
		}
	}
	m.Inputs, m.start = inputs, start
	m.Warnings = append(slices.Clone(m.Warnings), estimate.Warning{Kind: estimate.ClockDoubtful, Text: fmt.Sprintf("the file has no date; its first row was put at %s", start.Format("2006-01-02 15:04:05"))})
}

// chainClocks brings the clocks that are not settled yet onto the drive's,
// each by way of the settled recording that it can be compared with best: two
// loggers with a probe in the same place are joined better to each other than
// either to a phone.
func chainClocks(members []member, settled []bool, opts clock.Options) error {
	tried := map[[2]int]link{}
	for {
		if !slices.Contains(settled, false) {
			return nil
		}
		best, via, found := bestLink(members, settled, tried, opts)
		if best >= 0 {
			if len(members) > 2 {
				found.Via = members[via].Device
			}
			members[best].Clock, settled[best] = found, true
			continue
		}
		open := slices.Index(settled, false)
		j := mostTelling(members, settled, tried, open)
		l := tried[[2]int{j, open}]
		r, err := asWritten(members[j], members[open], l.result, l.err)
		if err != nil {
			return err
		}
		members[open].Clock, settled[open] = r, true
	}
}

// mostTelling returns the first settled member, or another on the drive's clock
// where only the comparison with that one has a profile.
func mostTelling(members []member, settled []bool, tried map[[2]int]link, open int) int {
	telling := func(j int) bool {
		return settled[j] && (members[j].Reference || members[j].Clock.Method != clock.AsWritten) && len(tried[[2]int{j, open}].result.Profile.Offset) > 0
	}
	first := slices.Index(settled, true)
	for j := range members {
		if telling(j) && !telling(first) {
			return j
		}
	}
	return first
}

// link is what the comparison of two recordings gave.
type link struct {
	result clock.Result
	width  float64 // of the link's own interval
	err    error
}

// bestLink returns the open member with the narrowest link to a settled one;
// −1 where none can be compared.
func bestLink(members []member, settled []bool, tried map[[2]int]link, opts clock.Options) (best, via int, found clock.Result) {
	best, via = -1, -1
	width := math.Inf(1)
	for i := range members {
		if settled[i] {
			continue
		}
		for j := range members {
			if !settled[j] {
				continue
			}
			l, done := tried[[2]int{j, i}]
			if !done {
				l.result, l.width, l.err = findClock(members[j], members[i], opts)
				tried[[2]int{j, i}] = l
			}
			if l.err == nil && (best < 0 || l.width < width) {
				best, via, found, width = i, j, l.result, l.width
			}
		}
	}
	return best, via, found
}

// findClock brings member b onto the drive's clock by way of a, whose clock is
// settled: by sync events, or by what the data show. The width is that of the
// comparison alone, without the uncertainty of a.
func findClock(a, b member, opts clock.Options) (r clock.Result, width float64, err error) {
	r, err = compareClocks(a, b, opts)
	if err != nil {
		return r, math.Inf(1), err
	}
	width = r.Interval.Duration()
	own := a.Clock.Interval
	if half := own.Duration() / 2; half > 0 && !math.IsInf(half, 0) { // a's own uncertainty counts too
		lower, upper := r.Offset-r.Interval.From, r.Interval.To-r.Offset
		r.Interval = series.Interval{From: r.Offset - math.Hypot(lower, half), To: r.Offset + math.Hypot(upper, half)}
	}
	return r, width, nil
}

func compareClocks(a, b member, opts clock.Options) (clock.Result, error) {
	if len(a.sync) == 0 || len(b.sync) == 0 {
		return clock.Estimate(channels(a.Part), channels(b.Part), opts)
	}
	first, second := make([]time.Time, len(a.sync)), make([]time.Time, len(b.sync))
	for k := range a.sync {
		first[k] = a.Clock.At(onDay(a.sync[k], a.start))
	}
	for k := range b.sync {
		second[k] = onDay(b.sync[k], b.start)
	}
	return clock.FromEvents(first, second, clock.Events{})
}

// asWritten takes both clocks as they are, if they can be, and says so.
func asWritten(ref, m member, tried clock.Result, why error) (clock.Result, error) {
	r := clock.Result{Method: clock.AsWritten, Profile: tried.Profile, Interval: series.Interval{From: math.Inf(-1), To: math.Inf(1)}}
	advice := fmt.Sprintf("state clock-offset for %s (added to that file's times), or list an event that both devices saw as sync in both files", m.File)
	if ref.elapsedOnly != m.elapsedOnly {
		return r, fmt.Errorf("%s and %s: %w, and one of them counts elapsed time only; %s", ref.File, m.File, why, advice)
	}
	w := fmt.Sprintf("%v; both clocks are taken as written; to be sure, %s", why, advice)
	if ref.zoneKnown != m.zoneKnown {
		local := m.File
		if m.zoneKnown {
			local = ref.File
		}
		w += fmt.Sprintf("; %s carries no time zone while the other file does: set time-zone for its device", local)
	}
	r.Warnings = append(r.Warnings, estimate.Warning{Kind: estimate.ClockDoubtful, Text: w})
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
func channels(p Part) []clock.Channel {
	var all []clock.Channel
	underBonnet := slices.ContainsFunc(p.Inputs, func(in Input) bool { return in.Role.isAirUnderBonnet() })
	for _, in := range p.Inputs {
		if in.Series == nil || in.Series.Len() == 0 {
			continue
		}
		start := p.Clock.At(in.Series.Start)
		ch := clock.Channel{Series: p.Clock.Apply(in.Series, start), Place: string(in.Role)}
		switch {
		case in.Role == Speed:
			ch.Kind = clock.RoadSpeed
		case in.Role.isAirUnderBonnet():
			ch.Kind = clock.AirTemperature
		case in.Role == Ambient: // answers to motion only where the car warms it
			if !underBonnet {
				ch.Kind = clock.AirTemperature
			}
		}
		all = append(all, ch)
	}
	return all
}

// isAirUnderBonnet reports whether the role is air that the car has warmed.
func (r Role) isAirUnderBonnet() bool {
	return r.IsIntake() || r == EngineBay || r == RadiatorAir
}
