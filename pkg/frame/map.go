package frame

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/chart"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
)

// earthRadius is the mean radius of the earth, (2a+b)/3 of the World Geodetic
// System 1984: 6 371 008.8 m.
const earthRadius = 6371008.8

// Map draws where the rows were on the road, east and north of the middle of
// all in kilometres, in shades by the value of a column: dark is low, light is
// high. It has no background. Distances are those of a flat map, a thousandth
// off within 100 km of the middle at middle latitudes (from memory).
//
// It fails as [Frame.Scatter] does, where the frame has no latitude or longitude,
// and where no row has a position and a value.
func (f *Frame) Map(column string) (*chart.Figure, error) {
	d, err := newDrawing("Map", f, column, "", nil)
	if err != nil {
		return nil, err
	}
	latitude, err := f.number(string(drive.Latitude))
	if err != nil {
		return nil, f.fail("Map", err).err
	}
	longitude, err := f.number(string(drive.Longitude))
	if err != nil {
		return nil, f.fail("Map", err).err
	}
	var rows []int
	for i := range f.rows {
		if latitude.Has(i) && longitude.Has(i) && d.x.Has(i) {
			rows = append(rows, i)
		}
	}
	if len(rows) == 0 {
		return nil, f.fail("Map", fmt.Errorf("no row has a position and a value of %s", column)).err
	}
	east, north := flat(vector.Present(latitude.Num, rows), vector.Present(longitude.Num, rows))
	p := chart.Panel{YLabel: "north (km)"}
	value := d.x.Take(rows).Shown()
	for k, class := range vector.Classes(value, len(chart.Shades)) {
		q := chart.Points{Label: class.Label + " " + d.x.Unit.Spelling(), Style: chart.Style{Color: chart.Shades[k]}}
		cells := newCells(east, north)
		for i, v := range value {
			if v >= class.From && v < class.To && cells.take(east[i], north[i]) {
				q.X, q.Y = append(q.X, east[i]), append(q.Y, north[i])
			}
		}
		if len(q.X) > 0 {
			p.Points = append(p.Points, q)
		}
	}
	least, most := vector.Span(value)
	fig := &chart.Figure{Title: strings.TrimSpace(fmt.Sprintf("%s along the road: %.4g to %.4g %s", column, least, most, d.x.Unit.Spelling())), XLabel: "east (km)"}
	fig.Caption = []string{vector.Count(len(rows), "row")}
	if without := f.rows - len(rows); without > 0 {
		fig.Caption[0] += fmt.Sprintf("; %d more have no position or no %s", without, column)
	}
	fig.Height = trueToScale(&p, east, north)
	fig.Panels = []chart.Panel{p}
	return fig, nil
}

// flat gives positions in radians as kilometres east and north of their middle.
func flat(latitude, longitude []float64) (east, north []float64) {
	lo, hi := vector.Span(latitude)
	middle := (lo + hi) / 2
	west, far := vector.Span(longitude)
	for i := range latitude {
		east = append(east, earthRadius/1000*math.Cos(middle)*(longitude[i]-(west+far)/2))
		north = append(north, earthRadius/1000*(latitude[i]-middle))
	}
	return east, north
}

// trueToScale returns the height in points at which a kilometre is as long
// upwards as across, and widens the panel's range where the road is much longer
// than wide. The margins are those of a figure of the usual width, about.
func trueToScale(p *chart.Panel, east, north []float64) float64 {
	const across, margins, least, most = 545.0, 115.0, 160.0, 560.0
	west, far := vector.Span(east)
	south, top := vector.Span(north)
	width, height := math.Max(far-west, 0.01), math.Max(top-south, 0.01)*1.12 // the panel leaves room
	up := across * height / width
	switch {
	case up > most:
		extra := (across*height/most - width) / 2
		p.Points = append(p.Points, keepRange(west-extra, south, top), keepRange(far+extra, south, top))
		up = most
	case up < least:
		extra := (least*width/across - height) / 2
		p.Points = append(p.Points, keepRange(west, south-extra, top+extra))
		up = least
	}
	return up + margins
}
