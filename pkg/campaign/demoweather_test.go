package campaign_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/weather"
)

// The demo's weather is stated right, and nothing is asked about it.
func TestNothingIsAskedAboutTheDemo(t *testing.T) {
	c, err := campaign.Open("../../testdata/demo/campaign.toml")
	if err != nil {
		t.Fatal(err)
	}
	drives, err := c.Drives()
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range drives {
		for _, kind := range []estimate.Kind{air.PressureDoubtful, air.HumidityDoubtful, air.AltitudeDoubtful} {
			if estimate.Has(d.Notes, kind) {
				t.Errorf("%s: %v", d.Name, d.Notes)
			}
		}
		if o, err := weather.Outside(d); err != nil || !(o.Density.Value > 1.05 && o.Density.Value < 1.2) {
			t.Errorf("%s: %v, %v", d.Name, o, err)
		} else {
			t.Log(o)
		}
	}
}
