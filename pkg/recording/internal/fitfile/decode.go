package fitfile

import (
	"encoding/binary"
	"errors"
	"fmt"
)

// epoch is 1989-12-31 00:00 UTC, from which times in such files count, in
// seconds after 1970.
const epoch = 631065600

// Numbers of the message that holds a point of a track, and of its fields.
const (
	messageRecord    = 20
	fieldLatitude    = 0 // 2³¹ to 180°
	fieldLongitude   = 1
	fieldAltitude    = 2 // (m + 500)·5
	fieldHeart       = 3
	fieldDistance    = 5  // cm
	fieldSpeed       = 6  // mm/s
	fieldTemperature = 13 // °C
	fieldFineSpeed   = 73 // as speed, in more bytes
	fieldFineHeight  = 78
	fieldTime        = 253
)

// record holds the raw numbers of a point by field; what is marked as not
// valid is not there.
type record map[byte]int64

var errCut = errors.New("cut within a message")

// definition says how the messages of one kind are laid out.
type definition struct {
	global int
	order  binary.ByteOrder
	fields []field
	extra  int // bytes of fields that the developer of an app added
}

type field struct {
	number byte
	size   int
	base   byte
}

// decoder goes through the messages of a file.
type decoder struct {
	kinds [16]*definition
	last  uint32 // time of the last message that had one
	all   []record
}

// decode collects the records of a file, or of several that follow each other,
// up to the first damage.
func decode(b []byte) (all []record, damage error) {
	d := &decoder{}
	for len(b) > 0 {
		head := int(b[0])
		if len(b) < 12 || head < 12 || len(b) < head || string(b[8:12]) != ".FIT" {
			if len(d.all) == 0 {
				return nil, errors.New("its header is damaged")
			}
			return d.all, nil // something else behind the file
		}
		size := int64(binary.LittleEndian.Uint32(b[4:]))
		body := b[head:]
		if size > int64(len(body)) {
			damage = errCut
			size = int64(len(body))
		}
		d.kinds = [16]*definition{}
		if err := d.messages(body[:size]); err != nil {
			return d.all, err
		}
		if damage != nil {
			return d.all, damage
		}
		b = body[min(int64(len(body)), size+2):] // behind the checksum
	}
	return d.all, nil
}

func (d *decoder) messages(b []byte) error {
	for len(b) > 0 {
		head := b[0]
		b = b[1:]
		var n int
		var err error
		switch {
		case head&0x80 != 0: // with the low bits of the time
			offset := uint32(head & 31)
			d.last += (offset - d.last&31) & 31
			n, err = d.data(int(head>>5&3), b, true)
		case head&0x40 != 0:
			n, err = d.define(int(head&15), head&0x20 != 0, b)
		default:
			n, err = d.data(int(head&15), b, false)
		}
		if err != nil {
			return err
		}
		b = b[n:]
	}
	return nil
}

// define reads the layout of a kind and returns its length.
func (d *decoder) define(kind int, extra bool, b []byte) (int, error) {
	if len(b) < 5 || len(b) < 5+3*int(b[4]) {
		return 0, errCut
	}
	k := &definition{order: binary.LittleEndian}
	if b[1] != 0 {
		k.order = binary.BigEndian
	}
	k.global = int(k.order.Uint16(b[2:]))
	n := 5
	for range int(b[4]) {
		k.fields = append(k.fields, field{b[n], int(b[n+1]), b[n+2]})
		n += 3
	}
	if extra {
		if len(b) <= n || len(b) < n+1+3*int(b[n]) {
			return 0, errCut
		}
		count := int(b[n])
		n++
		for range count {
			k.extra += int(b[n+1])
			n += 3
		}
	}
	d.kinds[kind] = k
	return n, nil
}

// data reads a message and returns its length.
func (d *decoder) data(kind int, b []byte, timed bool) (int, error) {
	k := d.kinds[kind]
	if k == nil {
		return 0, fmt.Errorf("message of kind %d without its layout", kind)
	}
	r := record{}
	if timed {
		r[fieldTime] = int64(d.last)
	}
	n := 0
	for _, f := range k.fields {
		if n+f.size > len(b) {
			return 0, errCut
		}
		if v, ok := number(k.order, f, b[n:n+f.size]); ok {
			r[f.number] = v
			if f.number == fieldTime {
				d.last = uint32(v)
			}
		}
		n += f.size
	}
	if n += k.extra; n > len(b) {
		return 0, errCut
	}
	if k.global == messageRecord {
		d.all = append(d.all, r)
	}
	return n, nil
}

// number reads a whole number by its base type; ok is false for lists, other
// types, and the value that stands for none.
func number(o binary.ByteOrder, f field, b []byte) (v int64, ok bool) {
	switch {
	case f.base == 0x01 && f.size == 1:
		return int64(int8(b[0])), b[0] != 0x7f
	case (f.base == 0x02 || f.base == 0x00) && f.size == 1:
		return int64(b[0]), b[0] != 0xff
	case f.base == 0x83 && f.size == 2:
		v = int64(int16(o.Uint16(b)))
		return v, v != 0x7fff
	case f.base == 0x84 && f.size == 2:
		v = int64(o.Uint16(b))
		return v, v != 0xffff
	case f.base == 0x85 && f.size == 4:
		v = int64(int32(o.Uint32(b)))
		return v, v != 0x7fffffff
	case f.base == 0x86 && f.size == 4:
		v = int64(o.Uint32(b))
		return v, v != 0xffffffff
	}
	return 0, false
}
