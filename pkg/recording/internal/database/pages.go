// Package database reads a table of an SQLite data base file, as apps of phones
// leave them: rows of a b-tree, without the library, whose code is larger than
// all else here. The form is published (sqlite.org/fileformat2.html).
package database

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
)

// Limits, so that a file that points at itself ends.
const (
	maxDepth   = 40
	maxPayload = 1 << 20 // bytes of one row
	maxRows    = 20_000_000
)

var errDamaged = errors.New("it is damaged")

// file is an opened data base.
type file struct {
	src    *source.Source
	size   int // of a page
	usable int
	pages  int // how many there are
	wide   bool
	order  binary.ByteOrder // of texts of two bytes
	left   int              // pages that may yet be read, so that loops end
}

// open reads the header.
func open(src *source.Source) (*file, error) {
	h := make([]byte, 100)
	if _, err := src.R.ReadAt(h, 0); err != nil {
		return nil, fmt.Errorf("it is cut: %w", err)
	}
	f := &file{src: src, size: int(binary.BigEndian.Uint16(h[16:]))}
	if f.size == 1 {
		f.size = 65536
	}
	f.usable = f.size - int(h[20])
	if f.size < 512 || f.size&(f.size-1) != 0 || f.usable < 480 {
		return nil, errDamaged
	}
	f.pages = int(src.Size) / f.size
	f.left = 4*f.pages + 16
	switch binary.BigEndian.Uint32(h[56:]) {
	case 2:
		f.wide, f.order = true, binary.LittleEndian
	case 3:
		f.wide, f.order = true, binary.BigEndian
	}
	return f, nil
}

// logged reports whether newer rows may stand in a file beside this one.
func (f *file) logged() bool { return f.src.Head[18] == 2 || f.src.Head[19] == 2 }

// page returns a page, which count from 1.
func (f *file) page(n int) ([]byte, error) {
	if f.left--; f.left < 0 || n < 1 || n > f.pages {
		return nil, errDamaged
	}
	p := make([]byte, f.size)
	if _, err := f.src.R.ReadAt(p, int64(n-1)*int64(f.size)); err != nil && err != io.EOF {
		return nil, err
	}
	return p, nil
}

// varint reads a number of one to nine bytes; its length is 0 where it is cut.
func varint(b []byte) (v int64, n int) {
	var u uint64
	for n < len(b) && n < 8 {
		u = u<<7 | uint64(b[n]&0x7f)
		n++
		if b[n-1] < 0x80 {
			return int64(u), n
		}
	}
	if n < len(b) && n == 8 {
		return int64(u<<8 | uint64(b[8])), 9
	}
	return 0, 0
}

// Kinds of pages of a table, and of one without row numbers, which is stored as
// an index is (sqlite.org/fileformat2.html, 1.6).
const (
	interior    = 0x05
	leaf        = 0x0d
	keyInterior = 0x02
	keyLeaf     = 0x0a
)

// walk calls f for each row of the table whose tree begins at a page, in the
// order of row numbers or of the key.
func (f *file) walk(root, depth int, row func(id int64, values []string) error) error {
	if depth > maxDepth {
		return errDamaged
	}
	p, err := f.page(root)
	if err != nil {
		return err
	}
	at := 0
	if root == 1 {
		at = 100
	}
	kind := p[at]
	within := kind == interior || kind == keyInterior
	cells := int(binary.BigEndian.Uint16(p[at+3:]))
	head := 8
	if within {
		head = 12
	}
	if !within && kind != leaf && kind != keyLeaf || at+head+2*cells > len(p) {
		return errDamaged
	}
	for i := range cells {
		from := int(binary.BigEndian.Uint16(p[at+head+2*i:]))
		if from+4 > len(p) {
			return errDamaged
		}
		b := p[from:]
		if within {
			if err := f.walk(int(binary.BigEndian.Uint32(b)), depth+1, row); err != nil {
				return err
			}
			b = b[4:]
		}
		switch kind {
		case leaf:
			err = f.cell(b, row)
		case keyLeaf, keyInterior: // a row lies between two pages, too
			err = f.keyCell(b, row)
		}
		if err != nil {
			return err
		}
	}
	if within {
		return f.walk(int(binary.BigEndian.Uint32(p[at+8:])), depth+1, row)
	}
	return nil
}

// cell reads a row with its number.
func (f *file) cell(b []byte, row func(int64, []string) error) error {
	n, k := varint(b)
	id, k2 := varint(b[k:])
	if k == 0 || k2 == 0 {
		return errDamaged
	}
	return f.payload(b[k+k2:], n, f.usable-35, id, row)
}

// keyCell reads a row without a number.
func (f *file) keyCell(b []byte, row func(int64, []string) error) error {
	n, k := varint(b)
	if k == 0 {
		return errDamaged
	}
	return f.payload(b[k:], n, (f.usable-12)*64/255-23, 0, row)
}

// payload reads a row of n bytes, of which up to most stand here; the others
// are in other pages.
func (f *file) payload(b []byte, n int64, most int, id int64, row func(int64, []string) error) error {
	if n < 0 || n > maxPayload {
		return errDamaged
	}
	here := int(n)
	if here > most {
		least := (f.usable-12)*32/255 - 23
		if here = least + (int(n)-least)%(f.usable-4); here > most {
			here = least
		}
	}
	if here > len(b) || here < int(n) && here+4 > len(b) {
		return errDamaged
	}
	payload := append(make([]byte, 0, n), b[:here]...)
	next := 0
	if here < int(n) {
		next = int(binary.BigEndian.Uint32(b[here:]))
	}
	for len(payload) < int(n) {
		p, err := f.page(next)
		if err != nil {
			return err
		}
		payload = append(payload, p[4:min(f.usable, 4+int(n)-len(payload))]...)
		next = int(binary.BigEndian.Uint32(p))
	}
	values, err := f.values(payload)
	if err != nil {
		return err
	}
	return row(id, values)
}

// values reads the record of a row; null becomes empty, and so do blobs.
func (f *file) values(b []byte) ([]string, error) {
	size, k := varint(b)
	if k == 0 || size < int64(k) || size > int64(len(b)) {
		return nil, errDamaged
	}
	head, body := b[k:size], b[size:]
	var all []string
	for len(head) > 0 {
		kind, k := varint(head)
		if k == 0 || kind < 0 {
			return nil, errDamaged
		}
		head = head[k:]
		n := width(kind)
		if n > len(body) || len(all) > 2000 {
			return nil, errDamaged
		}
		all = append(all, f.text(kind, body[:n]))
		body = body[n:]
	}
	return all, nil
}

// width returns the number of bytes of a value of a kind.
func width(kind int64) int {
	switch {
	case kind <= 4:
		return int(kind)
	case kind == 5:
		return 6
	case kind == 6 || kind == 7:
		return 8
	case kind < 12:
		return 0
	}
	return int(min(kind-12, 2*maxPayload)) / 2
}

func (f *file) text(kind int64, b []byte) string {
	switch {
	case kind == 0 || kind == 10 || kind == 11:
		return ""
	case kind == 8 || kind == 9:
		return strconv.Itoa(int(kind - 8))
	case kind == 7:
		return strconv.FormatFloat(math.Float64frombits(binary.BigEndian.Uint64(b)), 'g', -1, 64)
	case kind < 7:
		v := int64(int8(b[0]))
		for _, c := range b[1:] {
			v = v<<8 | int64(c)
		}
		return strconv.FormatInt(v, 10)
	case kind%2 == 0:
		return ""
	}
	return f.decode(b)
}

// fail wraps what went wrong for the person with the file.
func fail(src *source.Source, err error) error {
	if errors.Is(err, account.ErrLimit) {
		return src.Fail("is a data base that is too large: "+err.Error(), "export the table as .csv", account.ErrLimit)
	}
	return src.Fail("is a data base that can't be read: "+err.Error(), "copy it again while the app is closed, or export the table as .csv", account.ErrNotText)
}
