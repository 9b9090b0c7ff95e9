package campaign

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/sensor"
)

// CalibrationLine returns the line that stores a calibration in a campaign
// file, to be put below [device.calibration] of the column's device. Removing
// the line takes the calibration back; the logs are never changed.
func CalibrationLine(column string, c sensor.Calibration) string {
	decimals := func(x float64, n int) string { return strconv.FormatFloat(x, 'f', n, 64) }
	parts := []string{"offset = " + decimals(c.Offset.Kelvins(), 3)}
	if c.Gain != 0 && c.Gain != 1 {
		parts = append(parts, "gain = "+decimals(c.Gain, 5))
		if c.About.IsValid() {
			parts = append(parts, fmt.Sprintf("about = %q", decimals(c.About.Celsius(), 2)+" degC"))
		}
		if c.GainUncertainty > 0 {
			parts = append(parts, "gain-uncertainty = "+decimals(c.GainUncertainty, 5))
		}
	}
	if c.Uncertainty > 0 {
		parts = append(parts, "uncertainty = "+decimals(c.Uncertainty.Kelvins(), 3))
	}
	if c.Note != "" {
		parts = append(parts, "note = "+strconv.Quote(strings.ReplaceAll(c.Note, "\n", " ")))
	}
	return fmt.Sprintf("%s = { %s }", strconv.Quote(column), strings.Join(parts, ", "))
}
