package chart

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
	"github.com/bonnetbook/bonnetbook/pkg/warm"
)

// Mark adds something known about a drive to its charts: Opening, Segments or
// Span.
type Mark func(*marks)

type marks struct {
	bands   []Band
	markers []Marker
}

// Opening marks when the thermostat opened and shades its 95 % interval;
// nothing if it did not open.
func Opening(r thermostat.Result) Mark {
	return func(m *marks) {
		if r.Outcome != thermostat.Opened {
			return
		}
		m.markers = append(m.markers, Marker{X: r.Onset / 60, Label: "thermostat opens", Style: Style{Color: vermilion, Width: 1.4}})
		m.bands = append(m.bands, Band{From: r.Interval95.From / 60, To: r.Interval95.To / 60, Color: vermilionTint})
	}
}

// Warm marks from when on the engine counts as warm by a rule, or by what its
// owner states, and shades the 95 % interval; nothing where that is the
// thermostat's opening, see [Opening].
func Warm(s warm.State) Mark {
	return func(m *marks) {
		if s.Outcome != warm.Became || s.Basis == warm.ByThermostat {
			return
		}
		m.markers = append(m.markers, Marker{X: s.At / 60, Label: "counts as warm", Style: Style{Color: vermilion, Width: 1.4}})
		m.bands = append(m.bands, Band{From: s.Interval95.From / 60, To: s.Interval95.To / 60, Color: vermilionTint})
	}
}

// Segments shades each kind of stretch in its colour.
func Segments(all []segment.Segment) Mark {
	return func(m *marks) {
		for _, s := range all {
			if c, ok := kindColors[s.Kind]; ok {
				m.bands = append(m.bands, Band{Label: s.Kind.String(), From: s.Interval.From / 60, To: s.Interval.To / 60, Color: c})
			}
		}
	}
}

// Span shades one interval of drive time under a name.
func Span(v series.Interval, name string) Mark {
	return func(m *marks) {
		m.bands = append(m.bands, Band{Label: name, From: v.From / 60, To: v.To / 60, Color: purpleTint})
	}
}

var (
	vermilionTint = withAlpha(vermilion, 50)
	purpleTint    = withAlpha(purple, 50)
)

func collect(all []Mark) marks {
	var m marks
	for _, f := range all {
		f(&m)
	}
	return m
}

const timeLabel = "time since the start of the drive (min)"

var temperatureRoles = []drive.Role{drive.Coolant, drive.TopTank, drive.BottomTank, drive.RadiatorAir, drive.CylinderHead, drive.Oil, drive.EngineBay, drive.Intake, drive.Ambient}

// Temperatures draws every temperature channel of the drive against time with
// °C and °F axes, that of the drive's units on the left, and the speed below on
// the same time axis.
func Temperatures(d *drive.Drive, more ...Mark) *Figure {
	m := collect(more)
	reads := readingOf(d.Units, quantity.KindTemperature)
	top := reads.panel("temperature", 1.5)
	top.Bands, top.Markers = m.bands, m.markers
	for i, r := range shownTemperatures(d) {
		top.Lines = append(top.Lines, seriesLine(d.Channels[r].Series, string(r), styleOf(r, i), reads.unit))
	}
	f := &Figure{Title: warmest(d, reads), XLabel: timeLabel, Panels: []Panel{top}}
	addSpeed(f, d, m)
	return f
}

// warmest says how warm the intake became and how warm it was outside.
func warmest(d *drive.Drive, reads reading) string {
	if !d.Has(drive.Intake) {
		return d.Name
	}
	s := d.Channels[drive.Intake].Series
	_, most := s.MinMax(s.Interval())
	title := fmt.Sprintf("%s: intake up to %s", d.Name, reads.say("%.0f", most))
	if d.Has(drive.Ambient) {
		a := d.Channels[drive.Ambient].Series
		title += fmt.Sprintf(", %s outside", reads.say("%.0f", a.Median(a.Interval())))
	}
	return title
}

// shownTemperatures lists the temperature channels of a drive: those of the car
// in the order of the legend, the single intake probes, then the owner's own.
func shownTemperatures(d *drive.Drive) []drive.Role {
	var all []drive.Role
	for _, r := range temperatureRoles {
		if d.Has(r) {
			all = append(all, r)
		}
	}
	return append(append(all, d.IntakeProbes()...), d.OwnRoles()...)
}

// styleOf is the look of a role; one without a look of its own takes that of
// its place among the lines.
func styleOf(r drive.Role, i int) Style {
	if s, ok := roleStyles[r]; ok {
		return s
	}
	s := Look(i)
	s.Width = 1.2
	return s
}

func addSpeed(f *Figure, d *drive.Drive, m marks) {
	c, ok := d.Channels[drive.Speed]
	if !ok {
		return
	}
	reads := readingOf(d.Units, quantity.KindSpeed)
	p := reads.panel("speed", 0.6)
	p.Lines = []Line{seriesLine(c.Series, "speed", roleStyles[drive.Speed], reads.unit)}
	p.Bands, p.Markers = m.bands, unlabelled(m.markers)
	f.Panels = append(f.Panels, p)
}

func unlabelled(all []Marker) []Marker {
	out := make([]Marker, len(all))
	for i, m := range all {
		m.Label = ""
		out[i] = m
	}
	return out
}

// seriesLine turns a series into a line over minutes, its values in the unit,
// broken at gaps.
func seriesLine(s *series.Series, name string, style Style, unit quantity.Unit) Line {
	l := Line{Label: name, Style: style}
	last := math.NaN()
	for i, v := range s.Value {
		if math.IsNaN(v) {
			continue
		}
		t := s.Time[i]
		if t-last > drive.MaxGap {
			l.X = append(l.X, last/60)
			l.Y = append(l.Y, math.NaN())
		}
		l.X = append(l.X, t/60)
		l.Y = append(l.Y, unit.FromSI(v))
		last = t
	}
	return l
}

// Rise draws how far intake and engine bay lie above ambient, in K and °F of
// difference, and the speed below. It fails for a drive that has
// neither, or no ambient channel.
func Rise(d *drive.Drive, more ...Mark) (*Figure, error) {
	m := collect(more)
	reads := readingOf(d.Units, quantity.KindTemperatureDifference)
	p := reads.panel("above ambient", 1.3)
	p.Bands, p.Markers, p.ZeroLine = m.bands, m.markers, true
	title := d.Name + ": rise over ambient"
	for _, r := range []drive.Role{drive.EngineBay, drive.Intake} {
		if !d.Has(r) {
			continue
		}
		s, err := d.Rise(r)
		if err != nil {
			return nil, err
		}
		p.Lines = append(p.Lines, seriesLine(s, string(r), roleStyles[r], reads.unit))
		if _, most := s.MinMax(s.Interval()); r == drive.Intake {
			title = fmt.Sprintf("%s: intake up to %s above ambient", d.Name, reads.say("%.0f", most))
		}
	}
	if len(p.Lines) == 0 {
		return nil, fmt.Errorf("drive %q has neither an intake nor an engine-bay channel; give one of its columns that role", d.Name)
	}
	f := &Figure{Title: title, XLabel: timeLabel, Panels: []Panel{p}}
	addSpeed(f, d, m)
	return f, nil
}
