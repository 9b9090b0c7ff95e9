package recording

import (
	"bytes"
	"strings"
)

// found is what detection hands over: how to read the rows, and what to say
// about it.
type found struct {
	plan      *plan
	layout    Layout // complete
	detection Detection
	warnings  warnings
	rows      int // about how many there are
}

func (d *detector) result() *found {
	return &found{plan: d.plan(), layout: d.complete(), detection: d.found, warnings: d.warnings,
		rows: int(float64(d.src.size) / max(1, d.sample.bytesPerLine))}
}

// plan returns the plan for what has been found so far.
func (d *detector) plan() *plan {
	p := &plan{delim: d.delim, decimal: d.decimal, fields: d.fields, first: d.first,
		clock: d.clock, columns: d.columns, header: map[string]bool{}, sentinels: map[string]bool{}}
	for _, l := range d.sample.lines[:d.first] {
		if t := string(bytes.TrimSpace(l.text)); t != "" {
			p.header[t] = true
		}
	}
	p.fullRows = d.fullRows()
	p.names, p.timeAt = d.header, max(d.clock.stamp, d.clock.clock, d.clock.value)
	for _, s := range d.layout.Sentinels {
		p.sentinels[strings.ToLower(strings.TrimSpace(s))] = true
	}
	return p
}
