package chart

import (
	"encoding/json"
	"fmt"
	"image/color"
	"math"
)

const vegaPoints = 700 // points per line, so that the document stays small

type object = map[string]any

// VegaLite returns the figure as a Vega-Lite 5 document with its data inside,
// for a web page or a front end that draws it interactively:
//
//	notebook.Show(notebook.VegaLite(Must(figure.VegaLite())))
//
// It says less than the picture: it has no legend, no second scale such as °F
// beside °C, numbers where Rows name the vertical positions, and labels of bands
// and markers in tooltips alone; lines are thinned to 700 points. The error is that of encoding it as JSON.
func (f *Figure) VegaLite() (json.RawMessage, error) {
	w, _ := f.size()
	lo, hi := f.xRange()
	var panels []any
	for i, p := range f.Panels {
		axis := object{"title": nil, "labels": false}
		if i == len(f.Panels)-1 {
			axis = object{"title": f.XLabel}
		}
		x := object{"field": "x", "type": "quantitative", "axis": axis, "scale": object{"domain": []float64{lo, hi}}}
		if len(f.Categories) > 0 {
			axis["values"] = indices(len(f.Categories))
			names, err := json.Marshal(f.Categories)
			if err != nil {
				return nil, err
			}
			axis["labelExpr"] = fmt.Sprintf("%s[datum.value]", names)
		}
		panels = append(panels, object{"width": w, "height": panelHeight * 0.8 * p.weight(), "layer": p.vegaLayers(x)})
	}
	doc := object{"$schema": "https://vega.github.io/schema/vega-lite/v5.json", "title": f.Title, "vconcat": panels}
	if len(f.Caption) > 0 {
		doc["title"] = object{"text": f.Title, "subtitle": f.Caption}
	}
	return json.Marshal(doc)
}

func indices(n int) []int {
	x := make([]int, n)
	for i := range x {
		x[i] = i
	}
	return x
}

func (p Panel) vegaLayers(x object) []any {
	ylo, yhi := p.yRange()
	y := object{"field": "y", "type": "quantitative", "title": p.YLabel, "scale": object{"domain": []float64{ylo, yhi}}}
	var layers []any
	for _, b := range p.Bands {
		layers = append(layers, object{
			"data":     values([]any{object{"x": b.From, "x2": b.To, "kind": b.Label}}),
			"mark":     object{"type": "rect", "color": css(b.Color), "opacity": float64(b.Color.A) / 255, "tooltip": object{"content": "data"}},
			"encoding": object{"x": x, "x2": object{"field": "x2"}},
		})
	}
	for _, r := range p.Ribbons {
		var rows []any
		for i := range r.X {
			rows = append(rows, object{"x": r.X[i], "y": finite(r.Lo[i]), "y2": finite(r.Hi[i])})
		}
		layers = append(layers, object{
			"data": values(rows), "mark": object{"type": "area", "color": css(r.Style.Color), "opacity": 0.25},
			"encoding": object{"x": x, "y": y, "y2": object{"field": "y2"}},
		})
	}
	for _, l := range p.Lines {
		var rows []any
		for _, i := range thin(l.X, l.Y, vegaPoints) {
			rows = append(rows, object{"x": l.X[i], "y": finite(l.Y[i]), "name": l.Label})
		}
		mark := object{"type": "line", "color": css(l.Style.line().Color), "strokeWidth": float64(l.Style.line().Width), "tooltip": true}
		if len(l.Style.Dash) > 0 {
			mark["strokeDash"] = l.Style.Dash
		}
		layers = append(layers, object{"data": values(rows), "mark": mark, "encoding": object{"x": x, "y": y}})
	}
	for _, q := range p.Points {
		layers = append(layers, q.vegaLayers(x, y)...)
	}
	for _, m := range p.Markers {
		layers = append(layers, object{
			"data":     values([]any{object{"x": m.X, "name": m.Label}}),
			"mark":     object{"type": "rule", "color": css(m.Style.line().Color), "tooltip": object{"content": "data"}},
			"encoding": object{"x": x},
		})
	}
	return layers
}

func (q Points) vegaLayers(x, y object) []any {
	var rows []any
	for i := range q.X {
		r := object{"x": q.X[i], "y": finite(q.Y[i]), "name": q.Label}
		if len(q.Lo) > 0 {
			r["lo"], r["hi"] = finite(q.Lo[i]), finite(q.Hi[i])
		}
		rows = append(rows, r)
	}
	c := css(q.Style.line().Color)
	layers := []any{object{"data": values(rows), "mark": object{"type": "point", "filled": !q.Style.Hollow, "color": c, "tooltip": true}, "encoding": object{"x": x, "y": y}}}
	if len(q.Lo) > 0 {
		bar := object{"field": "lo", "type": "quantitative"}
		layers = append(layers, object{"data": values(rows), "mark": object{"type": "rule", "color": c}, "encoding": object{"x": x, "y": bar, "y2": object{"field": "hi"}}})
	}
	return layers
}

func values(rows []any) object {
	if rows == nil {
		rows = []any{}
	}
	return object{"values": rows}
}

// finite turns NaN and infinities into null, which JSON can hold.
func finite(v float64) any {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return v
}

func css(c color.Color) string {
	n := color.NRGBAModel.Convert(c).(color.NRGBA)
	return fmt.Sprintf("#%02x%02x%02x", n.R, n.G, n.B)
}
