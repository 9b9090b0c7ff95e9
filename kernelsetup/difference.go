package main

import (
	"flag"
	"fmt"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// difference is a temperature difference from the command line.
type difference struct {
	given bool
	plain bool    // a number without a unit
	value float64 // in K, or the plain number
}

// differenceFlag adds a flag whose value is a difference of temperatures.
func differenceFlag(f *flag.FlagSet, name, usage string) *difference {
	d := &difference{}
	f.Func(name, usage, func(text string) error {
		text = strings.TrimSpace(text)
		d.given = true
		if x, err := strconv.ParseFloat(text, 64); err == nil {
			d.plain, d.value = true, x
		} else {
			k, err := quantity.ParseTemperatureDifference(text)
			if err != nil {
				return fmt.Errorf("%q is no difference of temperatures; write one such as 3K or 5F", text)
			}
			d.plain, d.value = false, k.Kelvins()
		}
		if !(d.value > 0 && d.value < 180) { // 100 K are 180 °F
			return fmt.Errorf("want a difference above 0 and below 100 K")
		}
		return nil
	})
	return d
}

// in returns the difference; a plain number is in the units of the reader.
func (d *difference) in(units quantity.Preferred) quantity.TemperatureDifference {
	if d.plain {
		return quantity.KelvinDifference(units.Of(quantity.KindTemperatureDifference).ToSI(d.value))
	}
	return quantity.KelvinDifference(d.value)
}
