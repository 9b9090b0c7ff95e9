package quantity_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func TestParseRefusesWhatCannotBe(t *testing.T) {
	for _, c := range []struct {
		kind quantity.Kind
		text string
		says string
	}{
		{quantity.KindTemperature, "-300 degC", "absolute zero"},
		{quantity.KindTemperature, "-460 °F", "absolute zero"},
		{quantity.KindTemperature, "-1 K", "absolute zero"},
		{quantity.KindRelativeHumidity, "200 %", "100 %"},
		{quantity.KindRelativeHumidity, "-5 %", "100 %"},
		{quantity.KindPressure, "-3 hPa", "absolute"},
	} {
		x, _, err := quantity.Parse(c.kind, c.text)
		if !errors.Is(err, quantity.ErrOutOfRange) || !math.IsNaN(x) || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), c.text) {
			t.Errorf("%s: %v, %v", c.text, x, err)
		}
	}
	for _, c := range []struct {
		kind quantity.Kind
		text string
	}{
		{quantity.KindTemperature, "-273.15 degC"}, {quantity.KindTemperature, "-459.67 °F"}, {quantity.KindTemperature, "0 K"},
		{quantity.KindRelativeHumidity, "0 %"}, {quantity.KindRelativeHumidity, "100 %"}, {quantity.KindTemperatureDifference, "-300 K"},
	} {
		if _, _, err := quantity.Parse(c.kind, c.text); err != nil {
			t.Errorf("%s: %v", c.text, err)
		}
	}
}
