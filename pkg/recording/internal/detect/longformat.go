package detect

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/grid"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
)

// Long says that a table is in long format and where its parts are. As an error
// it is that of a file that can't be read so.
type Long struct {
	*grid.Grid
	*account.FileError
	// Blocks says that the channels follow one another, each with all its moments.
	Blocks bool
	// Time are the columns of the moment, Name, Value and Unit those of a
	// channel's name, value and unit, counted from 0; Unit is -1 without one.
	Time              []int
	Name, Value, Unit int
	// TimeNames and NameHeader are what the header calls them.
	TimeNames  []string
	NameHeader string
}

// long describes the table, whose channel is named by a column.
func (d *detector) long(name int, why *account.FileError) *Long {
	l := &Long{Grid: d.Grid, FileError: why, Name: name, Value: -1, Unit: -1, NameHeader: d.Header[name]}
	for n, e := range d.Evidence {
		switch {
		case d.isTimeColumn(n + 1):
			l.Time = append(l.Time, n)
			l.TimeNames = append(l.TimeNames, d.Header[n])
		case n == name:
		case l.Value < 0 && (e.Kind == cell.Numeric || e.Kind == cell.UnitNumeric) && !(heading.SuggestsCounter(d.Header[n])):
			l.Value = n
		case l.Unit < 0 && l.Value >= 0 && e.Kind == cell.Unit:
			l.Unit = n
		}
	}
	return l
}

// refuseLong refuses a table in long format: one value a row, and a column
// that names whose value it is. Read as it stands, the channels would be mixed
// into one.
func (d *detector) refuseLong() error {
	c := &d.clock
	at := max(c.Stamp, c.Clock, c.Value)
	if at == 0 {
		return nil
	}
	numbers := 0
	for n, e := range d.Evidence {
		if !d.isTimeColumn(n+1) && e.Kind == cell.Numeric {
			numbers++
		}
	}
	if numbers == 0 || numbers > 2 {
		return nil
	}
	for n, e := range d.Evidence {
		byName := heading.NamesChannels(d.Header[n])
		if d.isTimeColumn(n+1) || (e.Kind != cell.Text && !(byName && e.Kind == cell.Numeric && numbers == 2)) {
			continue
		}
		if names, inTurn, inBlocks := d.namesInRows(n, at-1); names != nil {
			err := d.Src.Fail(fmt.Sprintf("is in long format: one value a row, and %s says which of %d channels it belongs to (%s)", d.HeaderText(n+1), len(names), strings.Join(names[:min(4, len(names))], ", ")),
				"export it with one column for each channel, or turn it with a pivot table", account.ErrNoData)
			var why *account.FileError
			if errors.As(err, &why) && (inTurn || inBlocks && d.Sample.Whole) {
				if l := d.long(n, why); l.Value >= 0 {
					l.Blocks = !inTurn
					return l
				}
			}
			return err
		}
	}
	return nil
}

// namesInRows returns the different cells of a column if rows of one time carry
// different ones in turn, or if the time begins anew with each; else nil.
func (d *detector) namesInRows(column, at int) (names []string, inTurn, inBlocks bool) {
	seen := map[string]bool{}
	var last, lastTime []byte
	rows, turns, turnsInTime, restarts := 0, 0, 0, 0
	var began []byte
	for _, l := range d.Sample.Lines[d.First:min(len(d.Sample.Lines), d.Sample.Head)] {
		cells := d.CellsOf(l.Text)
		if len(cells) <= max(column, at) {
			continue
		}
		name, when := cells[column], cells[at]
		if began == nil {
			began = bytes.Clone(when)
		}
		if !seen[string(name)] {
			seen[string(name)] = true
			names = append(names, cell.Excerpt(name))
		}
		if len(names) > 64 {
			return nil, false, false
		}
		if rows > 0 && !bytes.Equal(name, last) {
			turns++
			if bytes.Equal(when, lastTime) {
				turnsInTime++
			}
			if bytes.Equal(when, began) {
				restarts++
			}
		}
		rows++
		last, lastTime = append(last[:0], name...), append(lastTime[:0], when...)
	}
	k := len(names)
	inTurn = turns*10 >= rows*9 && turnsInTime*k*10 >= rows*(k-1)*8
	inBlocks = turns == k-1 && restarts == turns
	if k < 2 || rows < 3*k || !(inTurn || inBlocks) {
		return nil, false, false
	}
	return names, inTurn, inBlocks
}
