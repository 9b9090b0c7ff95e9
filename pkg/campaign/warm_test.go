package campaign_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func TestWarm(t *testing.T) {
	text := strings.Replace(valid, "[engine]", "[warm]\nafter = \"12 min\"\nrole = \"engine-bay\"\nabove = \"45 degC\"\nuncertainty = \"90 s\"\n[engine]", 1)
	text = strings.Replace(text, "pressure = ", "warm-at = \"8 min\"\nwarm-uncertainty = \"20 s\"\npressure = ", 1)
	c, err := campaign.Open(folder(t, text))
	if err != nil {
		t.Fatal(err)
	}
	want := drive.WarmRule{After: 720, Role: drive.EngineBay, Above: quantity.Celsius(45), Uncertainty: 90}
	if c.Warm != want {
		t.Errorf("rule %+v, want %+v", c.Warm, want)
	}
	d, err := c.Drive("open filters, first run")
	if err != nil {
		t.Fatal(err)
	}
	if w := d.Warming; w.Rule != want || !w.HasMoment || w.Moment != 480 || w.MomentUncertainty != 20 {
		t.Errorf("the drive has %+v", w)
	}
}

// Nonsense is refused, with the key named.
func TestWarmNonsense(t *testing.T) {
	for _, c := range []struct{ what, table, drive, key, says string }{
		{"no condition", "[warm]\n", "", "warm", "no condition"},
		{"a role without a temperature", "[warm]\nrole = \"engine-bay\"\n", "", "warm", "go together"},
		{"a temperature without a role", "[warm]\nabove = \"70 degC\"\n", "", "warm", "go together"},
		{"a role that nobody plays", "[warm]\nrole = \"oil\"\nabove = \"70 degC\"\n", "", "warm.role", "no device"},
		{"a speed", "[warm]\nrole = \"speed\"\nabove = \"70 degC\"\n", "", "warm.role", "no temperature"},
		{"the outside air", "[warm]\nrole = \"ambient\"\nabove = \"20 degC\"\n", "", "warm.role", "tells nothing"},
		{"an intake", "[warm]\nrole = \"intake\"\nabove = \"40 degC\"\n", "", "warm.role", "tells nothing"},
		{"one of several intakes", "[warm]\nrole = \"intake 1\"\nabove = \"40 degC\"\n", "", "warm.role", "tells nothing"},
		{"a word", "[warm]\nrole = \"oyl\"\nabove = \"20 degC\"\n", "", "warm.role", `did you mean "oil"`},
		{"a time without unit", "[warm]\nafter = 15\n", "", "warm.after", "unit"},
		{"warm in two ways", "", "warm-at = \"8 min\"\nstarts-warm = true\n", "drive[1].starts-warm", "leave one"},
		{"an uncertainty of nothing", "", "warm-uncertainty = \"8 s\"\n", "drive[1].warm-uncertainty", "of what"},
		{"yes in quotation marks", "", "starts-warm = \"yes\"\n", "drive[1].starts-warm", "true or false"},
	} {
		t.Run(c.what, func(t *testing.T) {
			text := strings.Replace(valid, "[engine]", c.table+"[engine]", 1)
			text = strings.Replace(text, "pressure = ", c.drive+"pressure = ", 1)
			_, err := campaign.Open(folder(t, text))
			var ps campaign.Problems
			if !errors.As(err, &ps) {
				t.Fatalf("error %v, want Problems", err)
			}
			if ps[0].Key != c.key || !strings.Contains(ps[0].Error(), c.says) {
				t.Errorf("%v, want the key %s and %q", ps[0], c.key, c.says)
			}
		})
	}
}
