package report

import (
	"bytes"
	"compress/gzip"
	"encoding/base64"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/pkg/scene"
	"github.com/bonnetbook/bonnetbook/pkg/scene/live"
)

func chartCell(page string) *nbformat.Cell {
	return code("1", nbformat.Output{Kind: nbformat.Display, Data: map[string]any{"text/html": page, "text/plain": "chart"}})
}

// A chart comes into the page as drawings, with the one script that the policy
// names; a page without charts has no script.
func TestChartsAreLive(t *testing.T) {
	f := &scene.Figure{Title: "a <b>", XLabel: "time (min)", Panels: []scene.Panel{{YLabel: "intake (°C)", Right: &scene.RightScale{Label: "°F", Factor: 1.8, Offset: 32},
		Lines: []scene.Line{{Label: `"intake"`, X: []float64{0, 1}, Y: []float64{1, 2}}}}}}
	near := f.Panels[0]
	near.Axis = &scene.Axis{From: 0.4, To: 0.6}
	f.Panels = append(f.Panels, near)
	shown, err := f.Interactive()
	if err != nil {
		t.Fatal(err)
	}
	p := page1(t, Options{}, chartCell(shown))
	contains(t, p, `<svg class="bb bb-auto"`, `<div class="bb-narrow"><svg`, ">intake (°C)</text>", ">°F</text>", `textlength="`, `lengthadjust="spacingAndGlyphs"`,
		`data-second="1.8 32 °F"`, `data-group="1"`, "<script>"+live.Script+"</script>", "script-src "+scriptSource)
	if n := strings.Count(p, "<script"); n != 1 {
		t.Errorf("%d scripts in the page", n)
	}
	if h := harm(p); h != "" {
		t.Error(h)
	}
	if p := page1(t, Options{}, code("1")); strings.Contains(p, "<script") {
		t.Error("a page without charts has a script")
	}
}

// A picture that only says that it is a chart can bring nothing that acts.
func TestFalseCharts(t *testing.T) {
	for _, a := range attacks {
		drawing := base64.StdEncoding.EncodeToString([]byte(`<svg class="bb bb-auto">` + a + `<text>kept</text></svg>`))
		var packed bytes.Buffer
		w := gzip.NewWriter(&packed)
		w.Write([]byte(`<svg class="bb bb-auto">` + a + `</svg>`))
		w.Close()
		img := `<img class="` + live.Class + `" src="data:image/svg+xml;base64,` + drawing + `" data-narrow="` + base64.StdEncoding.EncodeToString(packed.Bytes()) + `" alt="x">`
		for _, shown := range []string{img, `<p title='` + img + `'>x</p>`, "<b " + img + ">"} {
			if h := harm(page1(t, Options{}, chartCell(shown))); h != "" {
				t.Errorf("%s: %s", a, h)
			}
		}
	}
}
