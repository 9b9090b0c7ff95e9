package sensor_test

import (
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/sensor"
)

// An error tells a difference in K and in °F: 25 K are 45 °F (ITS-90 defines
// neither; the factor 1.8 is that of NIST SP 811, B.8).
func TestErrorsInBothUnits(t *testing.T) {
	_, err := sensor.Calibrate(sensor.FixedPoint{Name: "ice", True: quantity.Celsius(0), Reading: quantity.Celsius(25), TrueUncertainty: quantity.KelvinDifference(0.1)})
	if err == nil || !strings.Contains(err.Error(), "25.0 K (45.0 °F)") {
		t.Errorf("%v", err)
	}
}
