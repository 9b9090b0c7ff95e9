package delimited

import (
	"bytes"
	"cmp"
	"iter"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/detect"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// longReader turns a table in long format (one value a row, and a column that
// names its channel) into one with a column for each channel. The values of a
// moment follow one another.
type longReader struct {
	*detect.Long
	out      Rewritten
	channels []string
	units    map[string]string
}

func readLong(src *source.Source, how format.Request, long *detect.Long) (*table.Table, error) {
	r := &longReader{Long: long, units: map[string]string{}}
	r.out.Delimiter, r.out.Decimal = long.Delimiter, layout.Decimal(long.Decimal)
	if err := r.names(src); err != nil {
		return nil, err
	}
	header := slices.Clone(r.TimeNames)
	for _, c := range r.channels {
		if u := r.units[c]; u != "" {
			c += " [" + u + "]"
		}
		header = append(header, c)
	}
	r.out.Header(header)
	rows := r.rows
	if r.Blocks {
		rows = r.blocks
	}
	if err := rows(src); err != nil {
		return nil, err
	}
	if len(r.out.first) == 0 {
		return nil, long
	}
	t, err := r.out.Table(src, how, layout.Text)
	if err == nil {
		t.Note("long format", "turned into a column for each channel", strings.Join(r.channels, ", "))
	}
	return t, err
}

// names collects the channels and the unit of each over the whole file.
func (r *longReader) names(src *source.Source) error {
	for l, err := range src.Lines() {
		if err != nil {
			return err
		}
		cells, ok := r.cells(l)
		if !ok {
			continue
		}
		name := text(cells[r.Name])
		if !slices.Contains(r.channels, name) {
			if len(r.channels) == 64 {
				return r.Long
			}
			r.channels = append(r.channels, name)
		}
		if r.Unit >= 0 && r.units[name] == "" {
			r.units[name] = text(cells[r.Unit])
		}
	}
	return nil
}

// cells returns the cells of a line that holds a value.
func (r *longReader) cells(l source.Line) ([][]byte, bool) {
	line := bytes.TrimRight(l.Text, "\r")
	if l.Long || len(bytes.TrimSpace(line)) == 0 {
		return nil, false
	}
	cells := r.CellsOf(line)
	most := max(r.Name, r.Value, r.Unit, slices.Max(r.Time))
	if len(cells) <= most || len(text(cells[r.Name])) == 0 || r.isHeader(cells) || bytes.IndexByte(line, 0) >= 0 {
		return nil, false
	}
	if k := cell.Classify(bytes.TrimSpace(cells[r.Time[0]]), r.Decimal); k == cell.Text || k == cell.Empty {
		return nil, false
	}
	return cells, true
}

func (r *longReader) isHeader(cells [][]byte) bool { return text(cells[r.Name]) == r.NameHeader }

func text(c []byte) string {
	return strings.ReplaceAll(strings.TrimSpace(strings.Trim(cell.Decode(c), `"`)), "\t", " ")
}

// reading is one value of a channel.
type reading struct {
	moment  []string // the cells of its time
	channel int
	value   string
	line    int
}

// readings goes through the values of the file and accounts for all lines.
func (r *longReader) readings(src *source.Source) iter.Seq2[reading, error] {
	return func(yield func(reading, error) bool) {
		for l, err := range src.Lines() {
			if err != nil {
				yield(reading{}, err)
				return
			}
			r.out.Account.Lines++
			cells, ok := r.cells(l)
			if !ok {
				r.other(l)
				continue
			}
			v := reading{channel: slices.Index(r.channels, text(cells[r.Name])), line: l.Number}
			for _, t := range r.Time {
				v.moment = append(v.moment, text(cells[t]))
			}
			v.value = cmp.Or(text(cells[r.Value]), "-") // no reading, and taken
			if !yield(v, nil) {
				return
			}
		}
	}
}

// rows writes a row for each moment. A value of a channel that the moment has
// already begins another.
func (r *longReader) rows(src *source.Source) error {
	var moment, row []string
	var lines []int
	flush := func() error {
		if len(lines) == 0 {
			return nil
		}
		err := r.out.Row(src, append(slices.Clone(moment), row...), lines...)
		lines = lines[:0]
		return err
	}
	for v, err := range r.readings(src) {
		if err != nil {
			return err
		}
		if len(lines) > 0 && (!slices.Equal(v.moment, moment) || row[v.channel] != "") {
			if err := flush(); err != nil {
				return err
			}
		}
		if len(lines) == 0 {
			moment, row = v.moment, make([]string, len(r.channels))
		}
		row[v.channel] = v.value
		lines = append(lines, v.line)
	}
	return flush()
}

// blocks writes a row for each moment, in the order in which moments appear, where
// channels follow one another. A second value of a channel at a moment, and a
// moment that only a later channel has, stand where they appear.
func (r *longReader) blocks(src *source.Source) error {
	type moment struct {
		at, row []string
		lines   []int
	}
	var all []*moment
	known := map[string]*moment{}
	for v, err := range r.readings(src) {
		if err != nil {
			return err
		}
		key := strings.Join(v.moment, "\t")
		m := known[key]
		if m == nil || m.row[v.channel] != "" {
			m = &moment{at: v.moment, row: make([]string, len(r.channels))}
			known[key] = m
			all = append(all, m)
		}
		m.row[v.channel] = v.value
		m.lines = append(m.lines, v.line)
	}
	for _, m := range all {
		if err := r.out.Row(src, append(slices.Clone(m.at), m.row...), m.lines...); err != nil {
			return err
		}
	}
	return nil
}

// other accounts for a line that holds no value.
func (r *longReader) other(l source.Line) {
	a := &r.out.Account
	line := bytes.TrimRight(l.Text, "\r")
	switch cells := r.CellsOf(line); {
	case len(bytes.TrimSpace(line)) == 0:
		a.Blank++
	case len(cells) > r.Name && r.isHeader(cells), a.Header+a.Blank+len(a.Rejects)+1 == a.Lines && len(r.out.first) == 0:
		a.Header++ // names, or what stands before them
	default:
		a.Rejects = append(a.Rejects, account.Reject{Line: l.Number, Reason: "holds no value of a channel", Text: cell.Excerpt(line)})
	}
}
