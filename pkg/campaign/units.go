package campaign

import "github.com/bonnetbook/bonnetbook/pkg/quantity"

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
