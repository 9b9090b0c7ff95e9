package binarysheet

import (
	"encoding/binary"
	"math"
	"strconv"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/sheet"
)

// rows reads the cells of a sheet. Cells stand in the order of rows; one that
// stands before the row that is open is left out.
func (b *book) rows(s boundSheet, into *sheet.Rows) error {
	w := &writer{into: into}
	for offset, depth := s.offset, 0; ; {
		r, err := b.at(offset)
		if err != nil {
			return err
		}
		offset = r.next
		switch r.kind {
		case recBOF: // charts stand within a sheet
			depth++
			continue
		case recEOF:
			if depth--; depth <= 0 {
				return w.flush()
			}
			continue
		}
		if depth > 1 {
			continue
		}
		if err := b.cell(r, w); err != nil {
			return err
		}
	}
}

// cell takes a record that holds cells.
//
// complex: one case for each kind of record
func (b *book) cell(r record, w *writer) error {
	d := r.data
	if r.kind == recString { // of the formula before
		if len(d) >= 3 {
			text, _ := chars(d[2:], int(binary.LittleEndian.Uint16(d)))
			return w.put(w.row, w.formula, text)
		}
		return nil
	}
	if len(d) < 6 {
		return nil
	}
	row, column, style := int(binary.LittleEndian.Uint16(d)), int(binary.LittleEndian.Uint16(d[2:])), int(binary.LittleEndian.Uint16(d[4:]))
	rest := d[6:]
	switch r.kind {
	case recNumber:
		if len(rest) >= 8 {
			return w.put(row, column, b.number(math.Float64frombits(binary.LittleEndian.Uint64(rest)), style))
		}
	case recRK:
		if len(rest) >= 4 {
			return w.put(row, column, b.number(rk(binary.LittleEndian.Uint32(rest)), style))
		}
	case recMulRK:
		for k := 4; k+6 <= len(d)-2; k += 6 {
			v := rk(binary.LittleEndian.Uint32(d[k+2:]))
			if err := w.put(row, column+(k-4)/6, b.number(v, int(binary.LittleEndian.Uint16(d[k:])))); err != nil {
				return err
			}
		}
	case recLabelSST:
		if len(rest) >= 4 {
			if i := int(binary.LittleEndian.Uint32(rest)); i < len(b.strings) {
				return w.put(row, column, b.strings[i])
			}
		}
	case recLabel:
		if len(rest) >= 3 {
			text, _ := chars(rest[2:], int(binary.LittleEndian.Uint16(rest)))
			return w.put(row, column, text)
		}
	case recBoolErr:
		if len(rest) >= 2 {
			text := "#N/A"
			if rest[1] == 0 {
				text = strconv.Itoa(int(rest[0]))
			}
			return w.put(row, column, text)
		}
	case recFormula:
		if len(rest) >= 8 {
			return b.formula(row, column, style, rest, w)
		}
	}
	return nil
}

// formula takes the last result of a formula: a number, or what two bytes of
// ones mark.
func (b *book) formula(row, column, style int, d []byte, w *writer) error {
	if d[6] != 0xff || d[7] != 0xff {
		return w.put(row, column, b.number(math.Float64frombits(binary.LittleEndian.Uint64(d)), style))
	}
	w.formula = column
	text := ""
	switch d[0] {
	case 1:
		text = strconv.Itoa(int(d[2]))
	case 2:
		text = "#N/A"
	}
	return w.put(row, column, text)
}

// number writes a number as its style shows it, as far as that matters.
func (b *book) number(v float64, style int) string {
	switch shown := b.shown(style); {
	case shown == sheet.AsPercent:
		return strconv.FormatFloat(v*100, 'g', 15, 64) + "%"
	case shown != sheet.AsNumber && v >= 0 && v < 3e6:
		return sheet.DayNumber(v, b.shift, shown)
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

// rk reads a number of 30 bits: the first ones of a float or a whole number,
// perhaps of hundredths.
func rk(x uint32) float64 {
	v := float64(int32(x) >> 2)
	if x&2 == 0 {
		v = math.Float64frombits(uint64(x&^3) << 32)
	}
	if x&1 != 0 {
		v /= 100
	}
	return v
}

// writer collects the cells of one row after another.
type writer struct {
	into    *sheet.Rows
	row     int
	cells   []string
	formula int // column of the last formula
}

func (w *writer) put(row, column int, text string) error {
	for w.row < row {
		if err := w.flush(); err != nil {
			return err
		}
		w.row++
	}
	if w.row > row || column >= cell.MaxColumns {
		return nil
	}
	for len(w.cells) <= column {
		w.cells = append(w.cells, "")
	}
	w.cells[column] = text
	return nil
}

func (w *writer) flush() error {
	err := w.into.Add(w.cells)
	w.cells = w.cells[:0]
	return err
}
