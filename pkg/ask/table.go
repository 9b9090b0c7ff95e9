package ask

import (
	"fmt"
	"html"
	"math"
	"path/filepath"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// table is what is open, with previews.
type table struct {
	questions []campaign.DraftQuestion
	previews  map[string]curve
	text      string
}

func (f *Form) table() table {
	return table{f.Sketch().Questions, f.previews, f.String()}
}

// Display returns the table, and its text.
func (t table) Display() notebook.Bundle {
	b := notebook.TextBundle(t.text)
	if len(t.questions) == 0 {
		return b
	}
	var s strings.Builder
	s.WriteString("<table><tr><th>question</th><th>about</th><th>likeliest</th><th></th></tr>")
	for _, q := range t.questions {
		var curves strings.Builder
		for _, subject := range q.Subjects {
			curves.WriteString(t.previews[subject].svg(subject))
		}
		fmt.Fprintf(&s, `<tr><td style="text-align:left">%s</td><td style="text-align:left">%s</td><td>%s</td><td>%s</td></tr>`,
			html.EscapeString(q.Text), html.EscapeString(strings.Join(q.Subjects, ", ")), html.EscapeString(q.Guess), curves.String())
	}
	s.WriteString("</table>")
	b[notebook.MIMEHTML] = s.String()
	return b
}

// curve is a small picture of a column: heights from 0 to 1 at even times; NaN
// where nothing was read.
type curve []float64

// points is how many heights a curve has.
const points = 80

// preview reads, for each column that is asked about, the first file of its
// device. A column that can't be shown has no picture.
func (f *Form) preview() {
	asked := map[string]bool{}
	for _, q := range f.sketch.Questions {
		if q.Kind == campaign.AskRole {
			for _, s := range q.Subjects {
				asked[s] = true
			}
		}
	}
	for _, d := range f.sketch.Devices {
		var r *recording.Recording
		for _, c := range d.Columns {
			subject := d.Name + ": " + c.Name
			if !asked[subject] || len(d.Files) == 0 {
				continue
			}
			if r == nil {
				var err error
				if r, err = recording.Open(filepath.Join(f.folder, filepath.FromSlash(d.Files[0])), recording.Options{}); err != nil {
					break
				}
			}
			for _, column := range r.Columns {
				if column.Name == c.Name {
					f.previews[subject] = curveOf(column.Series)
				}
			}
		}
	}
}

func curveOf(s *series.Series) curve {
	if s.Present() == 0 {
		return nil
	}
	v := s.Interval()
	lo, hi := s.MinMax(v)
	c := make(curve, points)
	for i := range c {
		from := v.From + v.Duration()*float64(i)/points
		mean := s.Median(series.Interval{From: from, To: from + v.Duration()/points})
		c[i] = (mean - lo) / math.Max(hi-lo, 1e-9)
	}
	return c
}

// svg draws the curve, with its name for those who can't see it.
func (c curve) svg(name string) string {
	if len(c) == 0 {
		return ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg width="%d" height="26" role="img" aria-label="%s"><title>%s</title>`, 2*points, html.EscapeString(name), html.EscapeString(name))
	drawing := false
	for i, h := range c {
		switch {
		case math.IsNaN(h):
			if drawing {
				b.WriteString(`"/>`)
			}
			drawing = false
			continue
		case !drawing:
			b.WriteString(`<polyline fill="none" stroke="#0072B2" points="`)
			drawing = true
		}
		fmt.Fprintf(&b, "%d,%.1f ", 2*i, 24-22*h)
	}
	if drawing {
		b.WriteString(`"/>`)
	}
	b.WriteString("</svg>")
	return b.String()
}
