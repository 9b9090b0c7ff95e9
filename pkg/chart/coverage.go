package chart

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Coverage draws one row for each channel of the drive: a bar where it has
// readings, nothing in its gaps, and a ring about a gap too short to be seen. What
// was recorded when, at a glance. The title has the longest gap.
func Coverage(d *drive.Drive) *Figure {
	roles := d.RoleList()
	p := Panel{YLabel: "channel", Weight: 0.25 + 0.12*float64(len(roles))}
	longest, of := 0.0, drive.Role("")
	whole := d.Interval()
	short := Points{Label: "a short gap", Style: Style{Hollow: true}}
	for i, r := range roles {
		row := float64(len(roles) - i)
		for _, gap := range gapsOf(d.Channels[r].Series, whole) {
			if gap.Duration() > longest {
				longest, of = gap.Duration(), r
			}
			if gap.Duration() < leastSeen*whole.Duration() {
				at := math.Max(whole.From+leastSeen*whole.Duration(), math.Min(whole.To-leastSeen*whole.Duration(), (gap.From+gap.To)/2)) // not cut by an edge
				short.X, short.Y = append(short.X, at/60), append(short.Y, row)
			}
		}
		line := Line{Label: string(r), Style: Style{Color: styleOf(r, i).Color, Width: 6}}
		for _, run := range d.Channels[r].Series.Runs(drive.MaxGap) {
			line.X = append(line.X, run.From/60, run.To/60, run.To/60)
			line.Y = append(line.Y, row, row, math.NaN())
		}
		p.Lines = append(p.Lines, line)
		p.Rows = append(p.Rows, string(r))
	}
	if len(short.X) > 0 {
		p.Points = []Points{short}
	}
	title := d.Name + ": recorded without a gap"
	if longest > 0 {
		long := clockTime(longest) + " min"
		if longest < 60 {
			long = number("%.0f", longest) + " s"
		}
		title = fmt.Sprintf("%s: the longest gap is %s (%s)", d.Name, long, of)
	}
	return &Figure{Title: title, XLabel: timeLabel, Panels: []Panel{p}}
}

// leastSeen is the part of a drive below which a gap can't be seen: some three dots
// of a phone.
const leastSeen = 0.01

// gapsOf is where a channel is missing, at either end of the drive as well, for
// longer than analyses bridge.
func gapsOf(s *series.Series, whole series.Interval) []series.Interval {
	own := s.Interval()
	all := append(s.Gaps(drive.MaxGap), series.Interval{From: whole.From, To: own.From}, series.Interval{From: own.To, To: whole.To})
	return slices.DeleteFunc(all, func(v series.Interval) bool { return !(v.Duration() > drive.MaxGap) })
}
