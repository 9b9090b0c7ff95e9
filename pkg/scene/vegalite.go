package scene

import (
	"encoding/json"
	"fmt"
	"image/color"
	"math"
	"strconv"
	"strings"
)

const (
	vegaCells = 300 // pieces per line, so that the document stays small

	// Vega's sizes of letters, in px. The font of the program that draws is not
	// known: the usual ones are up to a fifth wider than the one that measures,
	// and bold letters a tenth more.
	vegaLabel, vegaSubtitle = 10, 10
	vegaTitle               = 13
	vegaWider, vegaBold     = 1.2, 1.1
)

type object = map[string]any

// VegaLite returns the figure as a Vega-Lite 5 document with its data inside,
// for programs that draw such documents:
//
//	notebook.Show(notebook.VegaLite(Must(figure.VegaLite())))
//
// It says what the picture says: names of lines in a legend, second scales,
// names of rows, categories and events. The wheel and dragging zoom and move
// along the horizontal axis of all panels together, and the pointer shows
// values with their channel. Lines are reduced to the lowest and highest of 300
// pieces each. The error is that of encoding it as JSON.
func (f *Figure) VegaLite() (json.RawMessage, error) {
	f = f.withoutEmpty()
	v := vega{figure: f, colors: colorScale(f.entries(nil))}
	var panels []any
	for i, p := range f.Panels {
		v.axis = f.axisOf(i)
		v.lo, v.hi = v.axis.From, v.axis.To
		panels = append(panels, v.panel(i, p))
	}
	title := object{"text": wrap(f.Title, vegaTitle*vegaWider*vegaBold, f.ownWidth()), "anchor": "start", "fontSize": vegaTitle}
	if len(f.Caption) > 0 {
		var rows []string
		for _, line := range f.Caption {
			rows = append(rows, wrap(line, vegaSubtitle*vegaWider, f.ownWidth())...)
		}
		title["subtitle"], title["subtitleFontSize"] = rows, vegaSubtitle
	}
	doc := object{"$schema": "https://vega.github.io/schema/vega-lite/v5.json", "title": title,
		"config": object{"legend": object{"orient": "top", "title": nil, "labelLimit": 0, "columns": 3}, "axis": object{"labelLimit": 0, "titleLimit": 0}}}
	if f.Columns > 1 {
		doc["concat"], doc["columns"] = panels, f.Columns
	} else {
		doc["vconcat"] = panels
	}
	if params := f.zooms(); len(params) > 0 {
		doc["params"] = params
	}
	return json.Marshal(doc)
}

// zooms lets each horizontal axis of numbers be zoomed, in all its panels
// together.
func (f *Figure) zooms() []any {
	var params []any
	for i := range f.Panels {
		if f.groupOf(i) != i || len(f.axisOf(i).Categories) > 0 {
			continue
		}
		var views []string
		for k := i; k < len(f.Panels); k++ {
			if f.groupOf(k) == i {
				views = append(views, viewName(k))
			}
		}
		params = append(params, object{"name": fmt.Sprintf("shown%d", i+1), "views": views, "bind": "scales",
			"select": object{"type": "interval", "encodings": []string{"x"}}})
	}
	return params
}

func viewName(i int) string { return fmt.Sprintf("panel%d", i+1) }

// vega is a document in the making.
type vega struct {
	figure *Figure
	colors object // the scale that all layers share
	axis   Axis   // that of the panel
	lo, hi float64
}

func (v vega) panel(i int, p Panel) object {
	f := v.figure
	x := object{"field": "x", "type": "quantitative", "scale": object{"domain": []float64{v.lo, v.hi}, "nice": false}}
	axis := object{"title": nil}
	if last := i == len(f.Panels)-1 || f.groupOf(i+1) != f.groupOf(i); v.axis.Label != "" && last {
		axis["title"] = axisName(v.axis.Label, v.axis.Below)
	}
	if r := v.axis.Below; r != nil {
		axis["labelExpr"] = fmt.Sprintf("[datum.label, format(datum.value*%v+(%v), '.3~g') + ' %s']", r.Factor, r.Offset, r.Label)
	}
	width, height := (f.ownWidth()-90)/float64(max(1, f.Columns)), panelHeight*0.8*p.weight()
	if c := v.axis.Categories; len(c) > 0 {
		names, angle := vegaCategories(c, width/float64(len(c)))
		axis["values"], axis["labelExpr"], axis["labelLineHeight"] = indices(len(c)), pick(names, "datum.value"), 12
		axis["labelAngle"], axis["labelOverlap"] = angle, false
	}
	x["axis"] = axis
	lo, hi := p.yRange()
	y := object{"field": "y", "type": "quantitative", "title": p.YLabel, "scale": object{"domain": []float64{lo, hi}, "nice": false}}
	if n := len(p.Rows); n > 0 {
		places := indices(n + 1)[1:]
		y["axis"] = object{"title": nil, "values": places, "labelExpr": pick(p.Rows, fmt.Sprintf("%d-datum.value", n)), "labelOverlap": false}
		height = max(height, 14*(hi-lo))
	}
	layers := append([]any{v.ground(i, x, y)}, v.layers(p, x, y)...)
	out := object{"width": width, "height": height}
	if p.Name != "" {
		out["title"] = object{"text": p.Name, "anchor": "start", "fontSize": 11}
	}
	if r := p.Right; r != nil {
		second := object{"field": "y", "type": "quantitative", "title": r.Label, "axis": object{"orient": "right", "title": r.Label, "grid": false},
			"scale": object{"domain": []float64{r.Factor*lo + r.Offset, r.Factor*hi + r.Offset}, "nice": false}}
		axis := object{"data": csv([]float64{v.lo}, []float64{r.Factor*lo + r.Offset}), "mark": object{"type": "point", "opacity": 0},
			"encoding": object{"x": x, "y": second}}
		out["layer"], out["resolve"] = []any{object{"layer": layers}, axis}, object{"scale": object{"y": "independent"}}
	} else {
		out["layer"] = layers
	}
	return out
}

// ground is an invisible layer that carries the axes and takes the dragging.
func (v vega) ground(i int, x, y object) object {
	return object{"name": viewName(i), "data": csv([]float64{v.lo, v.hi}, []float64{math.NaN(), math.NaN()}),
		"mark": object{"type": "point", "opacity": 0}, "encoding": object{"x": x, "y": y}}
}

// vegaCategories breaks names into rows within their room. Where a word is
// wider, all names stand upright.
func vegaCategories(names []string, room float64) (rows []string, angle int) {
	all, standing := broken(names, vegaLabel*vegaWider, room-4, 0)
	for i, name := range names {
		if standing {
			rows = append(rows, upright(name))
		} else {
			rows = append(rows, strings.Join(all[i], "\n"))
		}
	}
	if standing {
		angle = -90
	}
	return rows, angle
}

func indices(n int) []int {
	x := make([]int, n)
	for i := range x {
		x[i] = i
	}
	return x
}

// pick is an expression for one of some names.
func pick(names []string, index string) string {
	lines := make([]any, len(names))
	for i, n := range names {
		lines[i] = strings.Split(n, "\n")
	}
	all, err := json.Marshal(lines)
	if err != nil { // texts always encode
		return "''"
	}
	return string(all) + "[" + index + "]"
}

func (v vega) layers(p Panel, x, y object) []any {
	var layers []any
	for _, b := range p.Bands {
		layers = append(layers, object{"data": object{"values": []any{object{"x": b.From, "x2": b.To, "kind": b.Label}}},
			"mark":     object{"type": "rect", "opacity": float64(b.Color.A) / 255, "tooltip": object{"content": "data"}, "clip": true},
			"encoding": object{"x": x, "x2": object{"field": "x2"}, "color": v.color(b.Label, b.Color)}})
	}
	for _, r := range p.Ribbons {
		layers = append(layers, object{"data": csv(r.X, r.Lo, r.Hi), "mark": object{"type": "area", "opacity": 0.25, "line": object{"strokeWidth": 0.7}, "clip": true},
			"encoding": object{"x": x, "y": y, "y2": object{"field": "y2"}, "color": v.color(r.Label, r.Style.color())}})
	}
	for _, l := range p.Lines {
		layers = append(layers, v.line(p, l, x, y)...)
	}
	for _, q := range p.Points {
		layers = append(layers, v.points(p, q, x, y)...)
	}
	for k, m := range p.Markers {
		layers = append(layers, v.marker(k, m, x)...)
	}
	return layers
}

func (v vega) line(p Panel, l Line, x, y object) []any {
	keep := thin(l.Y, vegaCells)
	lx, ly := make([]float64, len(keep)), make([]float64, len(keep))
	for j, k := range keep {
		lx[j], ly[j] = l.X[k], l.Y[k]
	}
	name, s := l.Label, l.Style.stroke()
	if len(p.Rows) > 0 {
		name = ""
	}
	mark := object{"type": "line", "strokeWidth": s.Width, "clip": true}
	if len(s.Dash) > 0 {
		mark["strokeDash"] = s.Dash
	}
	read := object{"type": "point", "opacity": 0, "size": 60, "clip": true}
	data := csv(lx, ly)
	layers := []any{object{"data": data, "mark": mark, "encoding": object{"x": x, "y": y, "color": v.color(name, s.Color)}}}
	if len(p.Rows) == 0 {
		layers = append(layers, object{"data": data, "mark": read, "transform": reading(p, p.readingName(l)),
			"encoding": object{"x": x, "y": y, "tooltip": v.tooltip(p)}})
	}
	return layers
}

// reading adds the name and the value on the second scale to each row.
func reading(p Panel, name string) []any {
	t := []any{object{"calculate": strconv.Quote(name), "as": "name"}}
	if p.Right != nil {
		t = append(t, object{"calculate": fmt.Sprintf("datum.y*%v+(%v)", p.Right.Factor, p.Right.Offset), "as": "second"})
	}
	return t
}

// tooltip shows channel, place and rounded value on both scales.
func (v vega) tooltip(p Panel) []any {
	name, unit := unitOf(p.YLabel)
	if unit != "" {
		name = unit
	}
	all := []any{object{"field": "name", "type": "nominal", "title": "channel"},
		object{"field": "y", "type": "quantitative", "title": name, "format": ".4~g"}}
	if p.Right != nil {
		all = append(all, object{"field": "second", "type": "quantitative", "title": p.Right.Label, "format": ".4~g"})
	}
	if len(v.axis.Categories) == 0 {
		all = append(all, object{"field": "x", "type": "quantitative", "title": v.axis.Label, "format": ".4~g"})
	}
	return all
}

func (v vega) points(p Panel, q Points, x, y object) []any {
	data := csv(q.X, q.Y)
	if len(q.Lo) > 0 {
		data = csv(q.X, q.Y, q.Lo, q.Hi)
	}
	c := v.color(q.Label, q.Style.color())
	layers := []any{object{"data": data, "mark": object{"type": "point", "filled": !q.Style.Hollow, "clip": true}, "transform": reading(p, q.Label),
		"encoding": object{"x": x, "y": y, "color": c, "tooltip": v.tooltip(p)}}}
	if len(q.Lo) > 0 {
		bar := object{"field": "y2", "type": "quantitative", "title": p.YLabel, "scale": y["scale"]}
		layers = append(layers, object{"data": data, "mark": object{"type": "rule", "clip": true}, "encoding": object{"x": x, "y": bar, "y2": object{"field": "y3"}, "color": c}})
	}
	for k, s := range q.Values {
		if s != "" && finite(q.X[k]) && finite(q.Y[k]) {
			layers = append(layers, object{"data": object{"values": []any{object{"x": q.X[k], "y": q.Y[k], "value": s}}},
				"mark":     object{"type": "text", "align": "left", "dx": 8, "color": css(q.Style.color())},
				"encoding": object{"x": x, "y": y, "text": object{"field": "value"}}})
		}
	}
	return layers
}

func (v vega) marker(k int, m Marker, x object) []any {
	c := css(m.Style.color())
	data := object{"values": []any{object{"x": m.X, "name": m.Label}}}
	layers := []any{object{"data": data, "mark": object{"type": "rule", "color": c, "clip": true}, "encoding": object{"x": x}}}
	if m.Label == "" {
		return layers
	}
	text := object{"type": "text", "align": "left", "dx": 4, "color": c, "y": 8 + 12*(k%3)}
	if m.X > v.lo+0.7*(v.hi-v.lo) {
		text["align"], text["dx"] = "right", -4
	}
	return append(layers, object{"data": data, "mark": text, "encoding": object{"x": x, "text": object{"field": "name"}}})
}

// colorScale gives each name in the legend its colour.
func colorScale(entries []entry) object {
	var names, colors []string
	for _, e := range entries {
		names = append(names, e.label)
		shown := e.style.color()
		if e.fill != nil {
			shown = *e.fill
		}
		colors = append(colors, css(shown))
	}
	return object{"domain": names, "range": colors}
}

// color takes a colour by its name from the scale, so that it stands in the
// legend; a thing without a name has its colour alone.
func (v vega) color(name string, c color.NRGBA) object {
	if name == "" {
		return object{"value": css(c)}
	}
	return object{"datum": name, "type": "nominal", "scale": v.colors, "legend": object{"title": nil, "symbolType": "square"}}
}

// csv holds columns x, y, y2, y3 in short; missing values are empty.
func csv(columns ...[]float64) object {
	names := []string{"x", "y", "y2", "y3"}[:len(columns)]
	parse := object{}
	for _, n := range names {
		parse[n] = "number"
	}
	var b strings.Builder
	b.WriteString(strings.Join(names, ","))
	for i := range columns[0] {
		for k, c := range columns {
			b.WriteByte("\n,"[min(k, 1)])
			if finite(c[i]) {
				b.WriteString(strconv.FormatFloat(c[i], 'g', 5, 64))
			}
		}
	}
	return object{"values": b.String(), "format": object{"type": "csv", "parse": parse}}
}

func css(c color.NRGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }
