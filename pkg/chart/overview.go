package chart

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// EveryDrive draws how far the intake lies above ambient in each drive, in small
// panels on the same axes, a look for each configuration. The title has the
// medians of each configuration's drives; the caption names the drives left out,
// and those whose rise is not known.
func EveryDrive(drives []*drive.Drive, leftOut ...drive.LeftOut) *Figure {
	reads := readingOf(unitsOfDrives(drives), quantity.KindTemperatureDifference)
	f := &Figure{Title: "No drive has an intake and an ambient channel", XLabel: timeLabel, Columns: 3, Caption: leftOutCaption(leftOut)}
	var sides configurations
	least, most := 0.0, 0.0
	for _, d := range drives {
		s, err := d.Rise(drive.Intake)
		if err != nil {
			f.Caption = append(f.Caption, "Left out: "+err.Error())
			continue
		}
		i := sides.of(d.Configuration)
		lo, hi := s.MinMax(s.Interval())
		sides.take(i, s.Median(s.Interval()))
		least, most = math.Min(least, reads.of(lo)), math.Max(most, reads.of(hi))
		p := reads.panel("above ambient", 0.7)
		p.Name, p.ZeroLine = d.Name, true
		p.Lines = []Line{seriesLine(s, d.Configuration, ConfigurationLook(i), reads.unit)}
		f.Panels = append(f.Panels, p)
	}
	room := 0.06 * (most - least)
	for i := range f.Panels {
		f.Panels[i].Limits = &Limits{From: least - room, To: most + room}
	}
	if len(f.Panels) > 0 {
		f.Title = fmt.Sprintf("%s, the intake above ambient (medians): %s", counted(len(f.Panels), "drive"), sides.say(reads))
	}
	return f
}

// SinceOpening draws how far the intake lies above ambient in all drives, each
// against the time since its own thermostat opened, a look for each
// configuration. openings holds the drives' results in their order. The title has
// the mean from 5 to 15 minutes after the opening; the caption names the drives
// whose opening was not seen.
func SinceOpening(drives []*drive.Drive, openings []thermostat.Result) *Figure {
	const from, to = 300.0, 900.0 // s
	reads := readingOf(unitsOfDrives(drives), quantity.KindTemperatureDifference)
	p := reads.panel("above ambient", 1.5)
	p.ZeroLine = true
	f := &Figure{Title: "In no drive the thermostat was seen to open", XLabel: "time since the thermostat opened (min)"}
	var sides configurations
	drawn := 0
	for k, d := range drives {
		s, err := d.Rise(drive.Intake)
		switch {
		case err != nil:
			f.Caption = append(f.Caption, "Left out: "+err.Error())
			continue
		case k >= len(openings) || openings[k].Outcome != thermostat.Opened:
			f.Caption = append(f.Caption, fmt.Sprintf("Left out: %q, its thermostat was not seen to open.", d.Name))
			continue
		}
		i := sides.of(d.Configuration)
		s = s.Shift(-openings[k].Onset)
		if mean := s.Mean(series.Interval{From: from, To: to}, drive.MaxGap); !math.IsNaN(mean) {
			sides.take(i, mean)
		}
		p.Lines = append(p.Lines, seriesLine(s, d.Configuration, ConfigurationLook(i), reads.unit))
		drawn++
	}
	p.Markers = []Marker{{X: 0, Label: "thermostat opens", Style: Style{Color: black, Width: 1}}}
	f.Panels = []Panel{p}
	if drawn > 0 {
		f.Title = fmt.Sprintf("%s, the intake above ambient 5 to 15 minutes after the opening: %s", counted(drawn, "drive"), sides.say(reads))
	}
	return f
}

func unitsOfDrives(drives []*drive.Drive) quantity.Preferred {
	if len(drives) == 0 {
		return quantity.Preferred{}
	}
	return drives[0].Units
}

// configurations are met one after another; each has its look and the least and
// greatest of a number, in SI units, over its drives.
type configurations struct {
	names       []string
	least, most []float64
}

func (c *configurations) of(name string) int {
	if i := slices.Index(c.names, name); i >= 0 {
		return i
	}
	c.names, c.least, c.most = append(c.names, name), append(c.least, math.Inf(1)), append(c.most, math.Inf(-1))
	return len(c.names) - 1
}

func (c *configurations) take(i int, v float64) {
	c.least[i], c.most[i] = math.Min(c.least[i], v), math.Max(c.most[i], v)
}

// ConfigurationLook is the look of a campaign's i-th configuration, from 0, in
// all pictures that tell configurations apart.
func ConfigurationLook(i int) Style {
	looks := []Style{{Color: vermilion, Width: 1.3}, {Color: blue, Width: 1.3}}
	if i < len(looks) {
		return looks[i]
	}
	return Look(i)
}

// say writes "open filters 38 to 47 K, cold-air duct 17 K".
func (c *configurations) say(reads reading) string {
	var all []string
	for i, name := range c.names {
		if c.least[i] <= c.most[i] {
			all = append(all, name+" "+reads.span("%.0f", c.least[i], c.most[i]))
		}
	}
	return strings.Join(all, ", ")
}
