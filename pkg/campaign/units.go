package campaign

import (
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// readUnits reads in which units the owner wants to read results.
func (c *Campaign) readUnits(t *table) {
	for _, k := range []struct {
		key  string
		kind quantity.Kind
		at   *quantity.Unit
	}{
		{"temperature", quantity.KindTemperature, &c.Units.Temperature}, {"difference", quantity.KindTemperatureDifference, &c.Units.Difference},
		{"speed", quantity.KindSpeed, &c.Units.Speed}, {"pressure", quantity.KindPressure, &c.Units.Pressure},
	} {
		s := t.text(k.key, false, k.kind.Shown().Symbol())
		if s == "" {
			continue
		}
		u, err := quantity.Lookup(k.kind, s)
		if err != nil {
			t.problems.add(t.line(k.key), t.key(k.key), "%v", err)
			continue
		}
		*k.at = u
	}
	t.done()
	c.Units = c.Units.Matching()
}

// stated takes the unit of a pressure that a drive's weather states for that in
// which pressures are read, where nothing else says it.
func (c *Campaign) stated(t *table) {
	for _, key := range []string{"pressure", "qnh"} {
		n := t.node.fields[key]
		if n == nil {
			continue
		}
		text, _ := n.scalar.(string)
		if _, u, err := quantity.Parse(quantity.KindPressure, text); err == nil {
			c.Units = c.Units.Or(quantity.Preferred{Pressure: u})
		}
	}
}

// oneLanguage has all drives read in the same units: where their files differ,
// in those of most drives.
func oneLanguage(drives []*drive.Drive) {
	var units quantity.Preferred
	count := map[quantity.Preferred]int{}
	for _, d := range drives {
		if count[d.Units]++; count[d.Units] > count[units] {
			units = d.Units
		}
	}
	for _, d := range drives {
		d.Units = units
	}
}
