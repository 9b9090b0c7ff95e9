package chart

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// Coverage draws one row for each channel of the drive: a bar where it has
// readings, nothing in its gaps. What was recorded when, at a glance.
func Coverage(d *drive.Drive) *Figure {
	roles := d.RoleList()
	p := Panel{YLabel: "channel", Weight: 0.25 + 0.12*float64(len(roles))}
	for i, r := range roles {
		line := Line{Label: string(r), Style: Style{Color: styleOf(r, i).Color, Width: 6}}
		row := float64(len(roles) - i)
		for _, run := range d.Channels[r].Series.Runs(drive.MaxGap) {
			line.X = append(line.X, run.From/60, run.To/60, run.To/60)
			line.Y = append(line.Y, row, row, math.NaN())
		}
		p.Lines = append(p.Lines, line)
		p.Rows = append(p.Rows, string(r))
	}
	return &Figure{Title: d.Name + ": what was recorded when", XLabel: timeLabel, Panels: []Panel{p}}
}
