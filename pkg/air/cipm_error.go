package air

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

const useDensity = "; air.Density holds there, with 0.1 % for outside air"

func cipmError(p, t, h float64) error {
	switch {
	case !(p >= cipmMinPressure && p <= cipmMaxPressure):
		err := pressureError("DensityCIPM2007", p, cipmMinPressure, cipmMaxPressure)
		if pressureOK(p) {
			return fmt.Errorf("%w%s", err, useDensity)
		}
		return err
	case !(t >= cipmMinTemperature && t <= cipmMaxTemperature):
		err := temperatureError("DensityCIPM2007", t, cipmMinTemperature, cipmMaxTemperature)
		if temperatureOK(t) {
			return fmt.Errorf("%w%s", err, useDensity)
		}
		return err
	}
	return humidityError("DensityCIPM2007", h)
}

func carbonDioxideError(x float64) error {
	hint := ""
	if x >= 200 && x <= 10000 {
		hint = fmt.Sprintf("did you mean %g parts per million, %g?", x, x*1e-6)
	}
	return quantity.OutOfRange("air.CIPM2007", "mole fraction of carbon dioxide", x, 0.0002, 0.01, quantity.Unit{}, hint)
}
