package detect

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// findSpeedUnit finds the unit of speeds that carry none: by the positions
// beside them, or by the other names in the file.
func (d *detector) findSpeedUnit() error {
	for i := range d.columns {
		c := &d.columns[i]
		if c.Content != layout.HoldsSpeed {
			continue
		}
		ratio, n := d.speedRatio(c)
		if c.Unit != nil {
			if want := c.Unit.FromSI(1); n >= 20 && (ratio < 0.6*want || ratio > 1.6*want) {
				d.warnings.Add(estimate.Disagreement, c.Name, fmt.Sprintf("marked %s, but its numbers are %.2f times the speed in m/s between the positions", c.Unit.Name, ratio))
			}
			continue
		}
		if s := d.Layout.SpeedUnit; s != "" {
			c.Unit, _ = unit.LookUp(s)
			c.Reason = "layout"
			continue
		}
		if n >= 10 {
			for _, u := range []*unit.Unit{unit.MetrePerS, unit.KmPerHour, unit.MilesPerH, unit.Knot} {
				// Miles per hour and knots are 15 % apart, so half of that.
				if r := u.SI(ratio); r > 0.93 && r < 1.07 {
					c.Unit = u
					c.Reason = fmt.Sprintf("the numbers are %.2f times the speed in m/s between the positions", ratio)
				}
			}
		}
		if c.Unit == nil && heading.EngineParameters(d.Header) && !d.Evidence[c.Number-1].Fractional() {
			c.Unit, c.Reason = unit.KmPerHour, "whole numbers, and named like the parameters of SAE J1979, which counts speed in km/h"
			d.warnings.Add(account.UnitAssumed, c.Name, fmt.Sprintf("no unit in the file: read in km/h (%s)", c.Reason))
		}
		if c.Unit == nil {
			return d.ambiguousSpeed(c, ratio, n)
		}
	}
	return nil
}

func (d *detector) ambiguousSpeed(c *plan.Column, ratio float64, n int) error {
	top := 0.0
	for _, v := range d.Evidence[c.Number-1].Values {
		if v < 1e4 {
			top = max(top, v)
		}
	}
	what := fmt.Sprintf("unit of speed in %q, which reaches %.1f", c.Name, top)
	if n > 0 {
		what += fmt.Sprintf(" and is %.2f times the speed in m/s between the positions", ratio)
	}
	err := &account.AmbiguousError{File: d.Src.Path, Line: d.First, What: what}
	for _, u := range []*unit.Unit{unit.KmPerHour, unit.MetrePerS, unit.MilesPerH} {
		err.Readings = append(err.Readings, account.Reading{
			Meaning: fmt.Sprintf("%s: up to %.0f km/h", u.Name, unit.KmPerHour.FromSI(u.SI(top))), Setting: fmt.Sprintf("speed_unit = %q", u.Name)})
	}
	return err
}

// speedRatio compares the numbers of a speed column with the speed between
// positions, over the sample. It returns the ratio of their sums where the car
// moved, and the number of pairs used.
func (d *detector) speedRatio(c *plan.Column) (ratio float64, n int) {
	var lat, lon *plan.Column
	for i := range d.columns {
		switch d.columns[i].Content {
		case layout.HoldsLatitude:
			lat = &d.columns[i]
		case layout.HoldsLongitude:
			lon = &d.columns[i]
		}
	}
	if lat == nil || lon == nil {
		return math.NaN(), 0
	}
	rows := plan.NewParser(d.plan())
	var sum, sumPositions float64
	type fix struct{ t, lat, lon, v float64 }
	var last fix
	have := false
	for _, l := range d.Sample.Lines[d.First:] {
		t, ok := rows.TimeOf(d.CellsOf(l.Text))
		cells := d.CellsOf(l.Text)
		if !ok || len(cells) < d.Fields {
			have = false
			continue
		}
		number := func(c *plan.Column) float64 {
			b := cells[c.Number-1]
			v, ok := parse.Number(b, d.Decimal)
			if !ok {
				if v, ok := parse.Degrees(b, d.Decimal); ok {
					return v
				}
				if v, _, ok = parse.NumberPrefix(b, d.Decimal); !ok { // 46.5N
					return math.NaN()
				}
			}
			return v
		}
		now := fix{t, unit.Degree.SI(number(lat)), unit.Degree.SI(number(lon)), number(c)}
		if have {
			dt := now.t - last.t
			v := table.Distance(last.lat, last.lon, now.lat, now.lon) / dt
			mean := (last.v + now.v) / 2
			if dt > 0 && dt <= 10 && v > 2 && v < 100 && mean > 0 && !math.IsNaN(mean) {
				sum += mean * dt
				sumPositions += v * dt
				n++
			}
			if dt <= 0 {
				now = last // a repeated stamp: measure from the first
			}
		}
		last, have = now, true
	}
	return sum / sumPositions, n
}
