package chart

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// reading is how one kind of quantity stands on the vertical axis: in the
// reader's unit on the left, in the other one that people know on the right.
type reading struct {
	kind quantity.Kind
	unit quantity.Unit
}

func readingOf(units quantity.Preferred, kind quantity.Kind) reading {
	return reading{kind, units.Of(kind)}
}

// panel returns an empty panel for it.
func (r reading) panel(what string, weight float64) Panel {
	return Panel{YLabel: fmt.Sprintf("%s (%s)", what, r.unit), Right: OtherScale(r.unit), Weight: weight}
}

// of returns an SI value in the reader's unit.
func (r reading) of(si float64) float64 { return r.unit.FromSI(si) }

// others are the units that stand on the right of each other.
var others = map[quantity.Unit]quantity.Unit{
	quantity.KindTemperature.Unit("°C"):           quantity.KindTemperature.Unit("°F"),
	quantity.KindTemperature.Unit("°F"):           quantity.KindTemperature.Unit("°C"),
	quantity.KindTemperature.Unit("K"):            quantity.KindTemperature.Unit("°C"),
	quantity.KindTemperatureDifference.Unit("K"):  quantity.KindTemperatureDifference.Unit("°F"),
	quantity.KindTemperatureDifference.Unit("°C"): quantity.KindTemperatureDifference.Unit("°F"),
	quantity.KindTemperatureDifference.Unit("°F"): quantity.KindTemperatureDifference.Unit("K"),
	quantity.KindSpeed.Unit("km/h"):               quantity.KindSpeed.Unit("mph"),
	quantity.KindSpeed.Unit("mph"):                quantity.KindSpeed.Unit("km/h"),
	quantity.KindSpeed.Unit("m/s"):                quantity.KindSpeed.Unit("km/h"),
}

// OtherScale is the right-hand scale of an axis in the given unit: °F beside °C
// and °C beside °F, mph beside km/h; nil where there is no such pair. A scale of
// differences has no 32 in it, and says that it is one.
func OtherScale(left quantity.Unit) *RightScale {
	right, ok := others[left]
	if !ok {
		return nil
	}
	factor, offset := quantity.Scale(left, right)
	s := &RightScale{Label: right.Symbol(), Factor: factor, Offset: offset}
	if right.Kind() == quantity.KindTemperatureDifference {
		s.Label += " of difference"
	}
	return s
}
