package recording

import (
	"fmt"
	"math"
)

// findSpeedUnit finds the unit of speeds that carry none: by the positions
// beside them, or by the other names in the file.
func (d *detector) findSpeedUnit() error {
	for i := range d.columns {
		c := &d.columns[i]
		if c.content != HoldsSpeed {
			continue
		}
		ratio, n := d.speedRatio(c)
		if c.unit != nil {
			if want := 1 / c.unit.factor; n >= 20 && (ratio < 0.6*want || ratio > 1.6*want) {
				d.warnings.add(disagreement, c.name, fmt.Sprintf("%s is marked %s, but its numbers are %.2f times the speed in m/s between the positions", c.name, c.unit.name, ratio))
			}
			continue
		}
		if s := d.layout.SpeedUnit; s != "" {
			c.unit, _ = lookUpUnit(s)
			c.reason = "layout"
			continue
		}
		if n >= 10 {
			for _, u := range []*unit{metrePerS, kmPerHour, milesPerH, knot} {
				// Miles per hour and knots are 15 % apart, so half of that.
				if r := ratio * u.factor; r > 0.93 && r < 1.07 {
					c.unit = u
					c.reason = fmt.Sprintf("the numbers are %.2f times the speed in m/s between the positions", ratio)
				}
			}
		}
		if c.unit == nil && d.hasEngineParameters() && !d.evidence[c.number-1].fractional() {
			c.unit, c.reason = kmPerHour, "whole numbers, and named like the parameters of SAE J1979, which counts speed in km/h"
			d.warnings.add(unitAssumed, c.name, fmt.Sprintf("no unit in the file: %q read in km/h (%s)", c.name, c.reason))
		}
		if c.unit == nil {
			return d.ambiguousSpeed(c, ratio, n)
		}
	}
	return nil
}

func (d *detector) ambiguousSpeed(c *planColumn, ratio float64, n int) error {
	top := 0.0
	for _, v := range d.evidence[c.number-1].values {
		if v < 1e4 {
			top = max(top, v)
		}
	}
	what := fmt.Sprintf("unit of speed in %q, which reaches %.1f", c.name, top)
	if n > 0 {
		what += fmt.Sprintf(" and is %.2f times the speed in m/s between the positions", ratio)
	}
	err := &AmbiguousError{File: d.src.path, Line: d.first, What: what}
	for _, u := range []*unit{kmPerHour, metrePerS, milesPerH} {
		err.Readings = append(err.Readings, Reading{
			fmt.Sprintf("%s: up to %.0f km/h", u.name, u.si(top)*3.6), fmt.Sprintf("speed_unit = %q", u.name)})
	}
	return err
}

// speedRatio compares the numbers of a speed column with the speed between
// positions, over the sample. It returns the ratio of their sums where the car
// moved, and the number of pairs used.
func (d *detector) speedRatio(c *planColumn) (ratio float64, n int) {
	var lat, lon *planColumn
	for i := range d.columns {
		switch d.columns[i].content {
		case HoldsLatitude:
			lat = &d.columns[i]
		case HoldsLongitude:
			lon = &d.columns[i]
		}
	}
	if lat == nil || lon == nil {
		return math.NaN(), 0
	}
	rows := rowParser{plan: d.plan(), sampling: true}
	var sum, sumPositions float64
	type fix struct{ t, lat, lon, v float64 }
	var last fix
	have := false
	for _, l := range d.sample.lines[d.first:] {
		t, ok := rows.timeOf(d.cellsOf(l.text))
		cells := d.cellsOf(l.text)
		if !ok || len(cells) < d.fields {
			have = false
			continue
		}
		number := func(c *planColumn) float64 {
			b := cells[c.number-1]
			v, ok := parseNumber(b, d.decimal)
			if !ok {
				if v, ok := parseDegrees(b, d.decimal); ok {
					return v
				}
				if v, _, ok = numberPrefix(b, d.decimal); !ok { // 46.5N
					return math.NaN()
				}
			}
			return v
		}
		now := fix{t, number(lat) * degree.factor, number(lon) * degree.factor, number(c)}
		if have {
			dt := now.t - last.t
			v := distance(last.lat, last.lon, now.lat, now.lon) / dt
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

// distance returns the great-circle distance in metres between two positions
// in radians, by the haversine formula on a sphere of the mean Earth radius
// R1 = 6371008.8 m (WGS 84; Moritz, Geodetic Reference System 1980). Against
// the ellipsoid it is off by up to 0.5 %.
func distance(lat1, lon1, lat2, lon2 float64) float64 {
	const radius = 6371008.8
	s1, s2 := math.Sin((lat2-lat1)/2), math.Sin((lon2-lon1)/2)
	h := s1*s1 + math.Cos(lat1)*math.Cos(lat2)*s2*s2
	return 2 * radius * math.Asin(math.Sqrt(min(1, h)))
}
