package survey

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/place"
)

// NumberIntakes makes intake probes of an engine with several intakes of columns that
// say so, "left" and "right", "front" and "rear", "carb 1" and "carb 2", of one device
// or of devices that ran together; else a second one is a spare of the first. intakes
// is how many the engine has, where that is known, else 0: 1 leaves all as they are, and
// of others as many columns are numbered in order where their names tell nothing.
// Where a person gave a column the role of an intake, nothing is changed.
func NumberIntakes(all []*Device, intakes int) {
	if intakes == 1 {
		return
	}
	var probes []*Column
	of := map[*Column]*Device{}
	for _, d := range all {
		for i := range d.Columns {
			c := &d.Columns[i]
			if !drive.Role(c.Role).IsIntake() {
				continue
			}
			if c.answered {
				return
			}
			probes, of[c] = append(probes, c), d
		}
	}
	byDevice := len(probes) > 0 && slices.ContainsFunc(probes, func(c *Column) bool { return of[c] != of[probes[0]] })
	for _, d := range all {
		own := slices.DeleteFunc(slices.Clone(probes), func(c *Column) bool { return of[c] != d })
		if byDevice && len(own) > 0 && slices.ContainsFunc(probes, func(c *Column) bool { return of[c] != d && !d.ranWith(of[c]) }) {
			byDevice = false
		}
		if len(own) > 1 && tellApart(own, intakes) {
			probes = slices.DeleteFunc(probes, func(c *Column) bool { return of[c] == d })
			byDevice = false
		}
	}
	if byDevice {
		tellApart(probes, intakes)
	}
}

// tellApart gives the probes their numbers, if their names, or the engine, tell them
// apart. One that is said to be a spare, and a second of one number, stay spares.
func tellApart(probes []*Column, intakes int) bool {
	var sides []place.Side
	for _, c := range probes {
		if s := place.SideOf(c.Name); s.Kind != "" && !slices.Contains(sides, s) {
			sides = append(sides, s)
		}
	}
	plain := len(sides) == 0 && intakes > 1 && len(probes) == intakes
	if !plain && (len(sides) < 2 || intakes > 1 && len(sides) != intakes || slices.ContainsFunc(sides, func(s place.Side) bool { return s.Kind != sides[0].Kind })) {
		return false
	}
	slices.SortFunc(sides, func(a, b place.Side) int { return a.Number - b.Number })
	taken := map[int]bool{}
	for i, c := range probes {
		n := i + 1
		if !plain {
			n = slices.Index(sides, place.SideOf(c.Name)) + 1
		}
		c.Spare = n == 0 || taken[n]
		n = max(1, n)
		taken[n] = taken[n] || !c.Spare
		c.Role = string(drive.IntakeProbe(n))
		if !c.Spare {
			c.Remark += "; one of several intakes, whose mean is the answer"
		}
	}
	return true
}

// ranWith reports whether some recordings of two devices overlap, by their clocks.
func (d *Device) ranWith(o *Device) bool {
	for _, p := range d.pieces {
		for _, q := range o.pieces {
			if p.from+p.shift < q.to+q.shift && q.from+q.shift < p.to+p.shift {
				return true
			}
		}
	}
	return false
}
