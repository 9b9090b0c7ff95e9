package help_test

import (
	"strings"
	"testing"
)

// Between quotes the names of columns and channels are explained by the variables
// that have them; one that panics, and one that is nil, say nothing.
func TestInspectNamesBetweenQuotes(t *testing.T) {
	a := assistant(t, t.TempDir(), `import (
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/frame"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"time"
)`, `type row struct { Place string; Speed float64 }
f := frame.FromStructs([]row{{"village", 30}, {"hill", 62.5}})
g := frame.FromStructs([]row{{"bridge", 1}})
var none *frame.Frame
warm, _ := series.New("intake", series.Temperature, time.Now(), []float64{0, 1, 2}, []float64{293.15, 303.15, 298.15})
d := &drive.Drive{Name: "first", Channels: map[drive.Role]*drive.Channel{
	drive.Intake: {Role: drive.Intake, Source: "a.csv column 2", Series: warm},
}}`, "type angry struct{}\nfunc (*angry) DescribeName(string) string { panic(1) }\nmad := &angry{}")
	for _, c := range []struct {
		source string
		has    []string
		not    string
	}{
		{`f.Group("pla¦ce")`, []string{"f: place", "2 rows", "2 texts", "village", "hill"}, "bridge"},
		{`f.Filter(frame.Above("speed", "50")).Scatter("¦speed", "speed")`, []string{"f: speed", "2 rows", "30.00 to 62.50"}, "g:"},
		{`frame.Mean("speed¦")`, []string{"f: speed", "g: speed"}, "mad"},
		{`d.Channels["intake¦"]`, []string{"d: intake", "20 to 30 °C", "0 of 3 samples missing", "a.csv column 2"}, "f:"},
	} {
		source, cursor := at(c.source)
		b, ok := a.Inspect(source, cursor, 0)
		for _, h := range c.has {
			if !ok || !strings.Contains(b.Text(), h) {
				t.Errorf("%s: no %q in %q", c.source, h, b.Text())
			}
		}
		if strings.Contains(b.Text(), c.not) {
			t.Errorf("%s: %q in %q", c.source, c.not, b.Text())
		}
	}
	source, cursor := at(`f.Group("nobody¦")`)
	if b, _ := a.Inspect(source, cursor, 0); !strings.Contains(b.Text(), "Group") {
		t.Errorf("a name that nobody knows: %q, want the method's", b.Text())
	}
}

// Columns of a table and channels of a drive are completed between quotes.
func TestCompleteNamesOfColumns(t *testing.T) {
	a := assistant(t, t.TempDir(), "use bonnetbook", `type row struct { Place string; Speed float64 }
f := frame.FromStructs([]row{{"village", 30}})
d := &drive.Drive{Channels: map[drive.Role]*drive.Channel{"roof": {}, drive.Intake: {}}}`)
	for text, want := range map[string]string{
		`f.Group("pl|")`:                 "place",
		`f.Scatter("place", "sp|")`:      "speed",
		`f.Filter(frame.Above("sp|"))`:   "speed",
		`x := "roo|"`:                    "roof",
		`f.Group("place").Relative("sp|`: "speed",
	} {
		if got, _ := between(a, text); len(got) == 0 || got[0] != want {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
}
