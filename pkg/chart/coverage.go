package chart

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Coverage draws one row for each channel of the drive: a bar where it has
// readings, nothing in its gaps. What was recorded when, at a glance. The title
// has the longest gap.
func Coverage(d *drive.Drive) *Figure {
	roles := d.RoleList()
	p := Panel{YLabel: "channel", Weight: 0.25 + 0.12*float64(len(roles))}
	longest, of := 0.0, drive.Role("")
	for i, r := range roles {
		if long := longestGap(d.Channels[r].Series, d.Interval()); long > longest {
			longest, of = long, r
		}
		line := Line{Label: string(r), Style: Style{Color: styleOf(r, i).Color, Width: 6}}
		row := float64(len(roles) - i)
		for _, run := range d.Channels[r].Series.Runs(drive.MaxGap) {
			line.X = append(line.X, run.From/60, run.To/60, run.To/60)
			line.Y = append(line.Y, row, row, math.NaN())
		}
		p.Lines = append(p.Lines, line)
		p.Rows = append(p.Rows, string(r))
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

// longestGap is how long a channel is missing at most, at either end of the drive
// as well; 0 where nothing longer than analyses bridge.
func longestGap(s *series.Series, whole series.Interval) float64 {
	own := s.Interval()
	longest := math.Max(own.From-whole.From, whole.To-own.To)
	for _, gap := range s.Gaps(drive.MaxGap) {
		longest = math.Max(longest, gap.Duration())
	}
	if longest <= drive.MaxGap {
		return 0
	}
	return longest
}
