package chart

import (
	"fmt"
	"image/color"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

const (
	captionSize = 9.0
	captionLine = 12.5
)

// leftOutCaption names the drives that a picture does not hold.
func leftOutCaption(all []drive.LeftOut) []string {
	var lines []string
	for _, l := range all {
		lines = append(lines, fmt.Sprintf("Left out: %q (%s), while %v.", l.Drive, l.Configuration, l.Step))
	}
	return lines
}

// captionRows breaks the caption into rows that fit the width.
func (f *Figure) captionRows(width vg.Length) []string {
	t := label(captionSize, color.Black)
	var rows []string
	for _, line := range f.Caption {
		row := ""
		for _, word := range strings.Fields(line) {
			if row != "" && t.Width(row+" "+word) > width-20 {
				rows, row = append(rows, row), ""
			}
			row = strings.TrimSpace(row + " " + word)
		}
		rows = append(rows, row)
	}
	return rows
}

// drawCaption writes the caption at the bottom and returns what is left.
func (f *Figure) drawCaption(c draw.Canvas) draw.Canvas {
	rows := f.captionRows(c.Size().X)
	if len(rows) == 0 {
		return c
	}
	t := label(captionSize, color.Gray{Y: 70})
	t.YAlign = draw.YBottom
	for i, row := range rows {
		c.FillText(t, vg.Point{X: c.Min.X + 10, Y: c.Min.Y + 4 + vg.Length(captionLine*float64(len(rows)-1-i))}, row)
	}
	return draw.Crop(c, 0, 0, vg.Length(captionLine*float64(len(rows))), 0)
}
