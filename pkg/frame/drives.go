package frame

import (
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// The columns that [Of] makes beside those of the channels, which have the
// names of their roles ("intake", "engine-bay", "speed", "latitude").
const (
	Time          = "time"          // the instant, in the drive's zone of time; missing where no date is known
	DriveName     = "drive"         // name of the drive
	Configuration = "configuration" // what was mounted
	Driving       = "driving"       // kind of driving, as package segment has it
	Phase         = "phase"         // "warm-up", "heat soak", "settled" or "not settled"
	SinceStart    = "since start"   // from the start of the drive
	SinceOpening  = "since opening" // from the thermostat's opening, negative before it
	Duration      = "duration"      // for how long the row stands
	Distance      = "distance"      // along the road since the start, from the speed
)

// Options are the settings of [Of]. Start from DefaultOptions.
type Options struct {
	// Step is the time between two rows in seconds.
	Step float64
	// Rules tell the kinds of driving.
	Rules segment.Rules
}

// DefaultOptions returns the settings for a row each second.
func DefaultOptions() Options { return Options{Step: 1, Rules: segment.DefaultRules()} }

// Of returns drives as one frame: a row for each step of each drive, in their
// order. Channels are interpolated between readings no more than
// [drive.MaxGap] apart and missing elsewhere; the other columns are the
// constants above. A second channel of one role is named with its device,
// "intake (logger B)", and where a device has several, with its column,
// "intake (logger B, CH2)". What a drive does not tell (the opening, the kinds of
// driving) is missing, and the notes say why.
//
// The frame holds an error where the step is not positive or needs more than
// 10,000,000 rows for one drive.
func Of(drives []*drive.Drive, opts Options) *Frame {
	all, crowded := make([]*Frame, len(drives)), crowdedNames(drives)
	for i, d := range drives {
		if all[i] = ofOne(d, opts, crowded); all[i].err != nil {
			return all[i]
		}
	}
	return stacked(all)
}

// stacked appends frames by halves, so that rows are not copied again for each
// further frame.
func stacked(all []*Frame) *Frame {
	if len(all) == 0 {
		return &Frame{}
	}
	if half := len(all) / 2; half > 0 {
		return stacked(all[:half]).Append(stacked(all[half:]))
	}
	return all[0]
}

// otherName names a channel whose role another one plays.
func otherName(c *drive.Channel) string { return fmt.Sprintf("%s (%s)", c.Role, c.Device) }

// crowdedNames are the names that several channels of one drive would have. In
// all drives they are told apart by their columns, so that a column of the frame
// is the same probe everywhere.
func crowdedNames(drives []*drive.Drive) map[string]bool {
	crowded := map[string]bool{}
	for _, d := range drives {
		seen := map[string]bool{}
		for _, c := range d.Others {
			name := otherName(c)
			crowded[name] = crowded[name] || seen[name]
			seen[name] = true
		}
	}
	return crowded
}

// others resamples the channels whose role another one plays.
func others(d *drive.Drive, crowded map[string]bool, t []float64) []*vector.Column {
	var all []*vector.Column
	seen := map[string]int{}
	for _, c := range d.Others {
		name := otherName(c)
		if crowded[name] {
			name = fmt.Sprintf("%s (%s, %s)", c.Role, c.Device, c.Column)
		}
		if seen[name]++; seen[name] > 1 {
			name = fmt.Sprintf("%s %d", name, seen[name])
		}
		all = append(all, channel(d, name, c.Series, t))
	}
	return all
}

func ofOne(d *drive.Drive, opts Options, crowded map[string]bool) *Frame {
	span := d.Interval()
	if !(opts.Step > 0) || span.Duration()/opts.Step > 1e7 {
		return failed("Of", fmt.Errorf("drive %q: a step of %v s over %.0f s is not possible", d.Name, opts.Step, span.Duration()))
	}
	span.From = math.Ceil(span.From/opts.Step) * opts.Step // so that rows of all drives fall on the same seconds
	t := series.Grid(span, opts.Step)
	f := &Frame{rows: len(t)}
	opening, pieces := f.look(d, opts.Rules)
	seconds := quantity.KindDuration.SI()
	start := vector.Numbers(SinceStart, seconds, t)
	start.MinSec, start.Unit = true, quantity.KindDuration.Unit("min")
	since := start.Named(SinceOpening)
	since.Num = make([]float64, len(t))
	for i := range t {
		since.Num[i] = t[i] - opening // NaN where none is known
	}
	lasts := vector.Numbers(Duration, seconds, constant(len(t), opts.Step))
	lasts.Additive = true
	kind, phase := kinds(pieces, t)
	columns := []*vector.Column{
		vector.Instants(Time, clockTimes(d.Start, t)), constantText(DriveName, d.Name, len(t)), constantText(Configuration, d.Configuration, len(t)),
		kind, phase, start, since, lasts,
	}
	columns = append(columns, f.distance(d, t))
	for _, r := range d.RoleList() {
		columns = append(columns, channel(d, string(r), d.Channels[r].Series, t))
	}
	columns = append(columns, others(d, crowded, t)...)
	for _, c := range columns {
		if err := f.add(c); err != nil {
			return failed("Of", fmt.Errorf("drive %q: %w", d.Name, err))
		}
	}
	return f
}

// look finds the opening and the stretches of a drive; what it can't find is a
// note.
func (f *Frame) look(d *drive.Drive, rules segment.Rules) (onset float64, pieces []segment.Segment) {
	r, err := thermostat.Find(d)
	switch {
	case err != nil:
		f.note("%s: opening and kinds of driving are not known: %v", d.Name, err)
		return math.NaN(), nil
	case r.Outcome != thermostat.Opened:
		f.note("%s: the opening is not known: %s", d.Name, r.Reason)
	}
	if pieces, err = segment.SplitAfter(d, r, rules); err != nil {
		f.note("%s: no kinds of driving: %v", d.Name, err)
	}
	return r.Onset, pieces
}

func (f *Frame) note(format string, args ...any) {
	f.notes = append(f.notes, fmt.Sprintf(format, args...))
}

// channel resamples one channel, shown in the unit in which the owner reads.
func channel(d *drive.Drive, name string, s *series.Series, t []float64) *vector.Column {
	return vector.Numbers(name, d.Units.Of(s.Dimension.Shown().Kind()), s.Resample(t, drive.MaxGap).Value)
}

func constant(n int, v float64) []float64 { return slices.Repeat([]float64{v}, n) }

func constantText(name, text string, n int) *vector.Column {
	return &vector.Column{Name: name, Kind: Text, Code: make([]int32, n), Levels: []string{text}}
}

// clockTimes are missing for a drive without a date.
func clockTimes(start time.Time, t []float64) []time.Time {
	at := make([]time.Time, len(t))
	for i, s := range t {
		if start.Year() > 0 && !start.IsZero() {
			at[i] = start.Add(time.Duration(math.Round(s * float64(time.Second))))
		}
	}
	return at
}

// kinds gives each time the kind and the phase of its stretch.
func kinds(pieces []segment.Segment, t []float64) (kind, phase *vector.Column) {
	kind, phase = &vector.Column{Name: Driving, Kind: Text}, &vector.Column{Name: Phase, Kind: Text}
	known, phases := map[string]int32{}, map[string]int32{}
	k := 0
	for _, s := range t {
		for k < len(pieces) && s >= pieces[k].Interval.To {
			k++
		}
		if k == len(pieces) || !pieces[k].Interval.Contains(s) || pieces[k].Kind == segment.Unknown {
			kind.Code, phase.Code = append(kind.Code, -1), append(phase.Code, -1)
			continue
		}
		kind.Code = append(kind.Code, kind.Level(pieces[k].Kind.String(), known))
		phase.Code = append(phase.Code, phase.Level(phaseOf(pieces[k]), phases))
	}
	return kind, phase
}

func phaseOf(s segment.Segment) string {
	switch {
	case s.WarmUp:
		return "warm-up"
	case s.HeatSoak:
		return "heat soak"
	case s.Settled:
		return "settled"
	}
	return "not settled"
}

// distance adds up the speed by the trapezoidal rule. Where the speed is
// missing for a while, the mean of both ends stands for it, and a note says for
// how long; before its first and after its last value nothing is known.
func (f *Frame) distance(d *drive.Drive, t []float64) *vector.Column {
	v := constant(len(t), math.NaN())
	if s, err := d.Channel(drive.Speed); err == nil {
		speed := s.Resample(t, drive.MaxGap).Value
		last, bridged, sum := -1, 0.0, 0.0
		for i, now := range speed {
			if math.IsNaN(now) {
				continue
			}
			if last >= 0 {
				sum += (now + speed[last]) / 2 * (t[i] - t[last])
				if i > last+1 {
					bridged += t[i] - t[last]
				}
			}
			v[i], last = sum, i
		}
		if bridged > 0 {
			f.note("%s: %.0f s without speed are bridged in the distance", d.Name, bridged)
		}
	}
	return vector.Numbers(Distance, quantity.KindLength.Unit("km"), v)
}

// Append returns the rows of f and, behind them, those of another frame. A
// column that one of them lacks is missing in its rows. The frame holds an
// error where a column holds different things in the two.
func (f *Frame) Append(other *Frame) *Frame {
	if f.err != nil {
		return f
	}
	if other.err != nil {
		return other
	}
	mine, theirs := placed(f.rows, 0, other.rows), placed(other.rows, f.rows, 0)
	first, second := f.take(mine), other.take(theirs)
	columns := map[string]*vector.Column{}
	for _, c := range second.columns {
		columns[c.Name] = c
	}
	g := &Frame{rows: f.rows + other.rows, notes: slices.Concat(f.notes, other.notes)}
	for _, c := range first.columns {
		if o, both := columns[c.Name]; both {
			if o.Kind != c.Kind || o.Unit.Kind() != c.Unit.Kind() {
				return f.fail("Append", fmt.Errorf("column %q does not hold the same in both frames", c.Name))
			}
			c = c.Fill(o, f.rows)
			delete(columns, c.Name)
		}
		g.columns = append(g.columns, c)
	}
	for _, c := range second.columns {
		if _, alone := columns[c.Name]; alone {
			g.columns = append(g.columns, c)
		}
	}
	return g
}

// placed lists n rows behind and before rows of missing values.
func placed(n, before, behind int) []int {
	none := []int{-1}
	return slices.Concat(slices.Repeat(none, before), vector.UpTo(n), slices.Repeat(none, behind))
}
