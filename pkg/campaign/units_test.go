package campaign_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func TestChosenUnits(t *testing.T) {
	c := open(t, rig(t, "[engine]", "[units]\ntemperature = \"°F\"\nspeed = \"mph\"\npressure = \"inHg\"\n[engine]"))
	if u := c.Units.Of(quantity.KindTemperatureDifference).Symbol(); u != "°F" {
		t.Errorf("who reads °F reads differences in %s", u)
	}
	if u := c.Units.Of(quantity.KindPressure).Symbol(); u != "inHg" {
		t.Errorf("pressure in %s", u)
	}
	_, err := campaign.Open(folder(t, rig(t, "[engine]", "[units]\nspeed = \"°F\"\n[engine]")))
	var ps campaign.Problems
	if !errors.As(err, &ps) || ps[0].Key != "units.speed" || !strings.Contains(ps[0].Error(), "mph") {
		t.Errorf("error %v", err)
	}
}
