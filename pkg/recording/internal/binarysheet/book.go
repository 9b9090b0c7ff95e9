package binarysheet

import (
	"encoding/binary"
	"fmt"
	"unicode/utf16"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/sheet"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
)

// book is what holds for all sheets.
type book struct {
	stream  []byte
	sheets  []boundSheet
	strings []string
	formats map[int]string
	styles  []int // number of the format of each
	shift   int64 // days from 1899-12-30 to where the file counts from
}

// boundSheet is the name of a sheet and where it begins.
type boundSheet struct {
	name   string
	offset int
}

// globals reads what stands before the sheets.
//
// complex: one case for each kind of record
func (b *book) globals() error {
	b.formats = map[int]string{}
	r, err := b.at(0)
	if err != nil {
		return err
	}
	if r.kind != recBOF || len(r.data) < 4 || binary.LittleEndian.Uint16(r.data) != 0x0600 {
		return fmt.Errorf("it is of a version before 1997: %w", account.ErrNotText)
	}
	for offset := 0; ; {
		r, err := b.at(offset)
		if err != nil {
			return err
		}
		offset = r.next
		d := r.data
		switch r.kind {
		case recEOF:
			return nil
		case recFilePass:
			return fmt.Errorf("it is locked by a password: %w", account.ErrNotText)
		case recDateMode:
			if len(d) >= 2 && d[0] == 1 {
				b.shift = source.Days1904
			}
		case recBoundSheet:
			if len(d) >= 8 && d[5] == 0 { // a sheet of cells
				name, _ := chars(d[7:], int(d[6]))
				b.sheets = append(b.sheets, boundSheet{name, int(binary.LittleEndian.Uint32(d))})
			}
		case recXF:
			if len(d) >= 4 {
				b.styles = append(b.styles, int(binary.LittleEndian.Uint16(d[2:])))
			}
		case recFormat:
			if len(d) >= 5 {
				code, _ := chars(d[4:], int(binary.LittleEndian.Uint16(d[2:])))
				b.formats[int(binary.LittleEndian.Uint16(d))] = code
			}
		case recSST:
			parts := [][]byte{d}
			for {
				c, err := b.at(offset)
				if err != nil || c.kind != recContinue {
					break
				}
				parts = append(parts, c.data)
				offset = c.next
			}
			if b.strings, err = shared(parts); err != nil {
				return err
			}
		}
	}
}

// shown tells how a style shows numbers.
func (b *book) shown(style int) sheet.Shown {
	if style >= len(b.styles) {
		return sheet.AsNumber
	}
	n := b.styles[style]
	if code, own := b.formats[n]; own {
		return sheet.ShownBy(code)
	}
	s, _ := sheet.ShownByNumber(n)
	return s
}

// chars reads a flag byte and n characters of one byte (Latin-1) or two.
func chars(d []byte, n int) (string, int) {
	if len(d) == 0 {
		return "", 0
	}
	wide := d[0]&1 != 0
	d = d[1:]
	if wide {
		n = min(n, len(d)/2)
		return wideText(d[:2*n]), 1 + 2*n
	}
	n = min(n, len(d))
	return latin(d[:n]), 1 + n
}

func latin(d []byte) string {
	r := make([]rune, len(d))
	for i, c := range d {
		r[i] = rune(c)
	}
	return string(r)
}

func wideText(d []byte) string {
	u := make([]uint16, len(d)/2)
	for i := range u {
		u[i] = binary.LittleEndian.Uint16(d[2*i:])
	}
	return string(utf16.Decode(u))
}

// shared reads the table of shared texts, which goes on in further records. A
// text that is cut by the end of one goes on with a flag byte of its own.
func shared(parts [][]byte) ([]string, error) {
	c := &cursor{parts: parts}
	c.take(4)
	count := c.number(4)
	var all []string
	for range count {
		n, flags := c.number(2), c.number(1)
		if c.failed {
			break
		}
		runs, more := 0, 0
		if flags&8 != 0 {
			runs = c.number(2)
		}
		if flags&4 != 0 {
			more = c.number(4)
		}
		all = append(all, c.text(n, flags&1 != 0))
		c.skip(4*runs + more)
		if c.failed {
			break
		}
	}
	if c.failed {
		return nil, errCut
	}
	return all, nil
}

// cursor reads through the parts of a long record.
type cursor struct {
	parts  [][]byte
	failed bool
}

func (c *cursor) here() []byte {
	for len(c.parts) > 0 && len(c.parts[0]) == 0 {
		c.parts = c.parts[1:]
	}
	if len(c.parts) == 0 {
		c.failed = true
		return nil
	}
	return c.parts[0]
}

// take returns n bytes, which may lie in two parts.
func (c *cursor) take(n int) []byte {
	var out []byte
	for n > 0 {
		d := c.here()
		if c.failed {
			return nil
		}
		k := min(n, len(d))
		out = append(out, d[:k]...)
		c.parts[0] = d[k:]
		n -= k
	}
	return out
}

func (c *cursor) number(n int) int {
	v := 0
	for i, x := range c.take(n) {
		v |= int(x) << (8 * i)
	}
	return v
}

func (c *cursor) skip(n int) {
	for n > 0 && !c.failed {
		d := c.here()
		k := min(n, len(d))
		if c.failed {
			return
		}
		c.parts[0] = d[k:]
		n -= k
	}
}

func (c *cursor) text(n int, wide bool) string {
	text := ""
	for n > 0 && !c.failed {
		d := c.here()
		if c.failed {
			return ""
		}
		size := 1
		if wide {
			size = 2
		}
		k := min(n, len(d)/size)
		if wide {
			text += wideText(d[:2*k])
		} else {
			text += latin(d[:k])
		}
		c.parts[0] = d[k*size:]
		if n -= k; n == 0 {
			break
		}
		if len(c.parts[0]) > 0 { // half a character
			c.failed = true
			return ""
		}
		wide = c.number(1)&1 != 0
	}
	return text
}
