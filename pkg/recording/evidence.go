package recording

import (
	"bytes"
	"math"
)

// evidence is what the sample's cells of one column look like.
type evidence struct {
	kind      cellKind
	count     [cellKinds]int
	values    []float64
	head      int // how many of values come from the head of the file
	unit      string
	firstText string
	fraction  bool // some number has a decimal mark
	digits    int  // length of all bare numbers
}

// gather collects what the cells of each column look like.
func (d *detector) gather() error {
	d.evidence = make([]evidence, d.fields)
	for i, l := range d.sample.lines[d.first:] {
		cells := d.cellsOf(l.text)
		if len(cells) < d.fields || filled(cells) > d.fields {
			continue
		}
		for j := range d.fields {
			d.evidence[j].see(cells[j], d.decimal, d.first+i < d.sample.head)
		}
	}
	for j := range d.evidence {
		e := &d.evidence[j]
		e.kind = mostCommon(e.count)
	}
	return nil
}

func (e *evidence) see(cell []byte, decimal byte, inHead bool) {
	k := classify(cell, decimal)
	e.count[k]++
	if k == cellNumber {
		e.digits += len(cell)
	}
	switch k {
	case cellNumber:
		v, _ := parseNumber(cell, decimal)
		e.values = append(e.values, v)
		e.fraction = e.fraction || bytes.IndexByte(cell, decimal) >= 0
	case cellUnitNumber:
		v, rest, _ := numberPrefix(cell, decimal)
		if _, known := lookUpUnit(decodeText(rest)); !known {
			if a, ok := parseDegrees(cell, decimal); ok {
				v, rest = a, []byte("°")
			}
		}
		e.values = append(e.values, v)
		e.fraction = true
		if e.unit == "" {
			e.unit = decodeText(rest)
		}
	case cellUnit:
		if e.unit == "" {
			e.unit = decodeText(cell)
		}
	case cellText:
		if e.firstText == "" {
			e.firstText = excerpt(cell)
		}
	}
	if inHead {
		e.head = len(e.values)
	}
}

// longest is the length beyond which a number is no reading: twice what is
// usual in the column, and more digits than float64 holds.
func (e evidence) longest() int {
	return max(20, 2*e.digits/max(1, e.count[cellNumber]))
}

// fractional reports whether any number is not whole.
func (e evidence) fractional() bool {
	for _, v := range e.values {
		if v != math.Trunc(v) {
			return true
		}
	}
	return false
}
