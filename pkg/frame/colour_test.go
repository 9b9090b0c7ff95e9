package frame_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/chart"
	"github.com/bonnetbook/bonnetbook/pkg/frame"
)

// A configuration has the colour that package chart gives it, also where another
// one was filtered away; other columns keep the order of what is drawn.
func TestConfigurationsHaveOneColour(t *testing.T) {
	type row struct {
		Configuration, Place string
		Speed, Rise          float64
	}
	f := frame.FromStructs([]row{{"open", "hill", 1, 2}, {"duct", "village", 3, 4}, {"open", "village", 2, 3}, {"duct", "hill", 4, 9}})
	looks := func(f *frame.Frame, by string) map[string]chart.Style {
		fig, err := f.Scatter("speed", "rise", by)
		if err != nil {
			t.Fatal(err)
		}
		all := map[string]chart.Style{}
		for _, p := range fig.Panels[0].Points {
			p.Style.Color.A = 255 // points may be translucent
			all[p.Label] = p.Style
		}
		return all
	}
	both, duct := looks(f, "configuration"), looks(f.Filter(frame.Is("configuration", "duct")), "configuration")
	for i, name := range []string{"open", "duct"} {
		if want := chart.ConfigurationLook(i).Color; both[name].Color != want {
			t.Errorf("%s is drawn in %v, in package chart in %v", name, both[name].Color, want)
		}
	}
	if len(duct) != 1 {
		t.Fatalf("drawn alone: %v", duct)
	}
	for name, look := range duct {
		if want := chart.ConfigurationLook(1).Color; look.Color != want {
			t.Errorf("alone, %q is drawn in %v, want %v", name, look.Color, want)
		}
	}
	if got := looks(f.Filter(frame.Is("place", "village")), "place"); len(got) != 1 {
		t.Errorf("by place: %v", got)
	}
}
