package fuel

import (
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Supply is the fuel that an engine ran on: what is in it, and how warm it stood in
// the float bowl. The zero value is petrol of a temperature that nobody measured.
type Supply struct {
	Blend Blend
	// Bowl is the temperature in the float bowl at full throttle; the zero value is
	// not known.
	Bowl quantity.Temperature
}

// ParseBlend reads the share of ethanol by volume, "10 %", or a range where a label
// says only the most, "5 to 10 %".
//
// Other texts are an error that says what it should look like; a share outside
// 0 to 1, or a range from high to low, gives one that wraps
// [quantity.ErrOutOfRange].
func ParseBlend(text string) (Blend, error) {
	low, high, two := strings.Cut(text, "to")
	if !two {
		high = text
	}
	most, unit, err := quantity.Parse(quantity.KindShare, high)
	least := most
	if err == nil && two {
		low = strings.TrimSpace(low)
		if least, _, err = quantity.Parse(quantity.KindShare, low); err != nil {
			least, _, err = quantity.Parse(quantity.KindShare, low+" "+unit.Symbol())
		}
	}
	if err != nil {
		return Blend{}, fmt.Errorf("ethanol %q: want its share of the fuel's volume, such as \"10 %%\", or \"5 to 10 %%\" where the pump's label is all that is known", text)
	}
	f := Blend{Ethanol: (least + most) / 2, Unsure: (most - least) / 2}
	for _, x := range []float64{least, most} {
		if !(x >= 0 && x <= 1) {
			return Blend{}, quantity.OutOfRange("the fuel", "ethanol", x, 0, 1, quantity.KindShare.Shown(), "its share of the volume")
		}
	}
	if f.Unsure < 0 {
		return Blend{}, quantity.OutOfRange("the fuel", "least ethanol", least, 0, most, quantity.KindShare.Shown(), "the lower end comes first")
	}
	return f, nil
}

// String returns the share of ethanol as [ParseBlend] reads it.
func (f Blend) String() string {
	if f.Unsure > 0 {
		return fmt.Sprintf("%.3g to %.3g %%", max(0, 100*(f.Ethanol-f.Unsure)), 100*(f.Ethanol+f.Unsure))
	}
	return fmt.Sprintf("%.3g %%", 100*f.Ethanol)
}
