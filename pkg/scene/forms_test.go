package scene

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

func simple() *Figure {
	return &Figure{Title: "c", XLabel: "x", Panels: []Panel{{YLabel: "y", Lines: []Line{{Label: "a", X: []float64{0, 1, 2}, Y: []float64{1.5, math.NaN(), 2.5}}},
		Ribbons: []Ribbon{{Label: "a, range", X: []float64{0, 1, 2}, Lo: []float64{1, 2, 2}, Hi: []float64{2, 3, 3}}}}}}
}

// A cell sends the picture to explore, the PNG and a line of text.
func TestFormsOfACell(t *testing.T) {
	if got := simple().Display().Types(); !slices.Equal(got, []string{notebook.MIMEPNG, notebook.MIMEHTML, notebook.MIMEText}) {
		t.Errorf("a figure has the forms %q", got)
	}
	if got := (&Figure{}).Display().Types(); !slices.Equal(got, []string{notebook.MIMEText}) {
		t.Errorf("a figure that can't be drawn has the forms %q", got)
	}
}

// The exported document holds the data that are drawn, and is what a cell
// shows where it is asked for.
func TestVegaLiteHoldsTheData(t *testing.T) {
	raw, err := simple().VegaLite()
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Vconcat []struct {
			Layer []struct {
				Data struct{ Values string }
				Mark struct{ Type string }
			}
		}
	}
	if err := json.Unmarshal(raw, &doc); err != nil {
		t.Fatal(err)
	}
	rows := map[string]string{}
	for _, l := range doc.Vconcat[0].Layer {
		rows[l.Mark.Type] = l.Data.Values
	}
	if want := "x,y\n0,1.5\n1,\n2,2.5"; rows["line"] != want {
		t.Errorf("line %q, want %q", rows["line"], want)
	}
	if want := "x,y,y2\n0,1,2\n1,2,3\n2,2,3"; rows["area"] != want {
		t.Errorf("range %q, want %q", rows["area"], want)
	}
	if got := notebook.Format(notebook.VegaLite(raw)).Types(); !slices.Contains(got, notebook.MIMEVegaLite) {
		t.Errorf("shown on purpose, it has the forms %q", got)
	}
}

func TestThinKeepsExtremes(t *testing.T) {
	n := 100000
	y := make([]float64, n)
	y[54321], y[777] = 99, math.NaN()
	var top, missing bool
	keep := thin(y, 500)
	last := -1
	for _, i := range keep {
		top = top || y[i] == 99
		missing = missing || math.IsNaN(y[i])
		if i <= last {
			t.Fatal("indices do not ascend")
		}
		last = i
	}
	if !top || !missing || len(keep) > 2000 {
		t.Errorf("peak kept %v, break kept %v, %d points", top, missing, len(keep))
	}
}

func TestSaveRefusesToOverwrite(t *testing.T) {
	f := simple()
	path := filepath.Join(t.TempDir(), "c.svg")
	if err := f.Save(path); err != nil {
		t.Fatal(err)
	}
	before, _ := os.ReadFile(path)
	if err := f.Save(path); !errors.Is(err, os.ErrExist) {
		t.Errorf("second save: %v", err)
	}
	after, _ := os.ReadFile(path)
	if !bytes.Equal(before, after) {
		t.Error("the file changed")
	}
}
