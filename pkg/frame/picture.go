package frame

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/chart"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/finding"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
)

// mostLooks is how many lines can be told apart by colour and dash.
const mostLooks = 7

// drawing is what the pictures of one frame share: two columns, and the rows
// by the columns that tell them apart.
type drawing struct {
	frame *Frame
	x, y  *vector.Column
	by    []string
	looks looks
}

// looks gives each value of the first column of by its style, the same in every
// panel.
type looks map[string]chart.Style

func newDrawing(step string, f *Frame, x, y string, by []string) (d drawing, err error) {
	d = drawing{frame: f, by: by}
	if d.x, err = f.number(x); err == nil && y != "" {
		d.y, err = f.number(y)
	}
	if err == nil {
		d.looks, err = looksOf(f, by)
	}
	if err == nil && f.rows == 0 {
		err = fmt.Errorf("there are no rows to draw")
	}
	if err != nil {
		return d, f.fail(step, err).err
	}
	return d, nil
}

func looksOf(f *Frame, by []string) (looks, error) {
	all := looks{}
	if len(by) == 0 {
		all[""] = chart.Look(0)
		return all, nil
	}
	for _, name := range by {
		if _, err := f.column(name); err != nil {
			return nil, err
		}
	}
	for _, name := range f.groupNames(f.Group(by[0])) {
		all[name] = chart.Look(len(all))
	}
	if c, _ := f.column(by[0]); c.Name == Configuration {
		colourAsCharts(all, c)
	}
	if len(all) > mostLooks {
		return nil, fmt.Errorf("column %q has %d values, more than the %d that can be told apart; filter some, draw one panel for each by Facets, or name a column with fewer values before it", by[0], len(all), mostLooks)
	}
	return all, nil
}

// colourAsCharts gives configurations the colours that they have in package
// chart, also where rows of the first one were filtered away. Dashes, which tell
// lines apart without colour, are those of frames.
func colourAsCharts(all looks, c *vector.Column) {
	for i, level := range c.Levels {
		if look, drawn := all[level]; drawn {
			look.Color, look.Dash = chart.ConfigurationLook(i).Color, chart.Look(i).Dash
			all[level] = look
		}
	}
}

// part is one group of rows of a picture.
type part struct {
	name  string // value of the first column of by
	style chart.Style
	rows  []int
}

// parts divides the rows; those with the same first value look alike.
func (d drawing) parts() []part {
	if len(d.by) == 0 {
		return []part{{"", d.looks[""], vector.UpTo(d.frame.rows)}}
	}
	g := d.frame.Group(d.by...)
	all := make([]part, len(g.groups))
	first := &Grouped{frame: d.frame, keys: d.by[:1], groups: g.groups}
	for i, name := range d.frame.groupNames(first) {
		all[i] = part{name, d.looks[name], g.groups[i]}
	}
	return all
}

// told are the parts that a title tells one by one: those that look alike are one.
func (d drawing) told() []finding.Part {
	parts := merged(d.parts())
	all := make([]finding.Part, len(parts))
	for i, p := range parts {
		all[i] = finding.Part{Name: p.name, Rows: p.rows}
	}
	return all
}

// merged makes one part of those of the same name, which look alike.
func merged(parts []part) (all []part) {
	place := map[string]int{}
	for _, p := range parts {
		k, known := place[p.name]
		if !known {
			place[p.name], all = len(all), append(all, p)
			continue
		}
		all[k].rows = slices.Concat(all[k].rows, p.rows)
	}
	return all
}

// groupNames writes the values that divide the rows, as the table shows them.
func (f *Frame) groupNames(g *Grouped) []string {
	names := make([]string, len(g.groups))
	for i, rows := range g.groups {
		var values []string
		for _, key := range g.keys {
			c, err := f.column(key)
			if err != nil {
				continue
			}
			text := c.Writer()(rows[0])
			switch {
			case !c.Has(rows[0]):
				text = "no " + key
			case c.Kind == Number && c.Unit.Spelling() != "" && !c.MinSec:
				text += " " + c.Unit.Symbol()
			}
			values = append(values, text)
		}
		names[i] = strings.Join(values, ", ")
	}
	return names
}

// figure puts one panel into a figure, whose title says what is drawn and what
// was found.
func (d drawing) figure(title, found string, p chart.Panel) *chart.Figure {
	return &chart.Figure{Title: title + byline(d.by) + found, XLabel: axis(d.x), Below: chart.OtherScale(d.x.Unit), Panels: []chart.Panel{p}, Caption: d.caption()}
}

func byline(by []string) string {
	if len(by) == 0 {
		return ""
	}
	return ", by " + strings.Join(by, " and ")
}

// caption says how many rows a picture holds and how many it can't.
func (d drawing) caption() []string {
	drawn := 0
	for i := range d.frame.rows {
		if d.x.Has(i) && (d.y == nil || d.y.Has(i)) {
			drawn++
		}
	}
	text := vector.Count(drawn, "row")
	if without := d.frame.rows - drawn; without > 0 {
		text += fmt.Sprintf("; %d more have no %s", without, d.names())
	}
	return []string{text}
}

func (d drawing) names() string {
	if d.y == nil || d.y == d.x {
		return d.x.Name
	}
	return d.x.Name + " or no " + d.y.Name
}

// axis names a column with its unit as an axis does.
func axis(c *vector.Column) string {
	if c.Unit.Spelling() == "" {
		return c.Name
	}
	return c.Name + " (" + c.Unit.Symbol() + ")"
}

// panel is an empty panel for a column, with °F beside °C and the like.
func panel(y *vector.Column) chart.Panel {
	return chart.Panel{YLabel: axis(y), Weight: 1.3, Right: chart.OtherScale(y.Unit)}
}

// keepRange makes a panel span at least these values, drawing nothing.
func keepRange(x, lo, hi float64) chart.Points {
	return chart.Points{X: []float64{x}, Y: []float64{math.NaN()}, Lo: []float64{lo}, Hi: []float64{hi}}
}
