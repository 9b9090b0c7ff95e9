package campaign

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/fuel"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Configuration is one state of the car that is compared with others.
type Configuration struct {
	Name string
	Note string
	// PressureDrop is what mouth, filter and hose take off the pressure on the way
	// to the carburettor at full throttle; 0 if nobody measured it.
	PressureDrop quantity.Pressure
	// Fuel is what the engine ran on; where the file says nothing, one petrol in all
	// configurations.
	Fuel fuel.Supply
}

func (c *Campaign) readConfigurations(t *table) {
	all, before := t.list("configuration", true), len(t.problems.list)
	for _, s := range all {
		k := Configuration{Name: s.text("name", true, "open filters"), Note: s.text("note", false, "what was changed"),
			PressureDrop: quantity.Pressure(orZero(s.quantity("pressure-drop", false, quantity.KindPressure, 1, 2e4)))}
		if text := s.text("ethanol", false, "5 to 10 %"); text != "" {
			var err error
			if k.Fuel.Blend, err = fuel.ParseBlend(text); err != nil {
				s.problems.add(s.line("ethanol"), s.key("ethanol"), "%v", err)
			}
		}
		if bowl := s.quantity("bowl-temperature", false, quantity.KindTemperature, 243.15, 393.15); !math.IsNaN(bowl) {
			k.Fuel.Bowl = quantity.Kelvin(bowl)
		}
		for _, other := range c.Configurations {
			unique(s, "configuration", k.Name, other.Name)
		}
		s.done()
		c.Configurations = append(c.Configurations, k)
	}
	if len(t.problems.list) == before {
		forAll(all, "ethanol")
		forAll(all, "bowl-temperature")
	}
}

// forAll demands a key that counts only by its difference in all tables, or in none.
func forAll(all []*table, key string) {
	if !slices.ContainsFunc(all, func(s *table) bool { return s.has(key) }) {
		return
	}
	for _, s := range all {
		if !s.has(key) {
			s.problems.add(s.node.line, s.key(key), "another configuration has this key; what counts is how the two differ, so write it for each of them, or for none")
		}
	}
}
