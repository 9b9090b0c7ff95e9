package arrowipc

import (
	"encoding/binary"
	"fmt"
	"math"

	flatbuffers "github.com/google/flatbuffers/go"
)

// What a file may ask for at most.
const (
	maxUnpacked = 1 << 30 // bytes of all compressed buffers
	maxWindow   = 8 << 20 // bytes that a zstd frame may look back: RFC 8878, 3.1.1.1.2, asks decoders for no more
	maxColumns  = 1 << 14
)

// Slots of the tables in a file, from Arrow's Schema.fbs, Message.fbs and
// File.fbs: field n has slot 4+2n (FlatBuffers, "Internals").
const (
	messageKind, message, messageBody, messageNotes    = 6, 8, 10, 12
	footerSchema, footerWords, footerRows, footerNotes = 6, 8, 10, 12
	schemaFields, schemaNotes                          = 6, 8
	fieldName, fieldType, fieldWords                   = 4, 8, 12
	fieldChildren, fieldNotes                          = 14, 16
	batchLength, batchNodes, batchBuffers              = 4, 6, 8
	batchPacked, batchVariadic                         = 10, 12
	wordsOf, wordsBatch                                = 4, 6
)

// Kinds of messages.
const (
	schemaMessage = 1
	wordsMessage  = 2
	rowsMessage   = 3
)

func damaged(format string, a ...any) error {
	return fmt.Errorf("%w: %s", ErrDamaged, fmt.Sprintf(format, a...))
}

// pair is how many bytes a node, or a buffer's place, has.
const pair = 16

// guard holds every length in a file's descriptions against what there is.
type guard struct {
	columns  []byte         // the types of what is stored of each column
	words    map[int64]byte // and of each dictionary's words, by its number
	unpacked int64
}

// view is the type of texts that lie in any number of buffers.
const view = 24

// stored is how many buffers a column has beside a view's further ones (Arrow
// columnar format, "Buffer Listing for Each Layout").
func stored(kind byte) int {
	switch kind {
	case 1: // nothing but missing values
		return 0
	case 5, 20: // texts: what is missing, where each ends, the letters
		return 3
	}
	return 2
}

// vectorIn finds a list of a table and sees that it lies within the bytes.
func vectorIn(t *flatbuffers.Table, slot flatbuffers.VOffsetT, width int) (start flatbuffers.UOffsetT, n int, err error) {
	o := flatbuffers.UOffsetT(t.Offset(slot))
	if o == 0 {
		return 0, 0, nil
	}
	start, n = t.Vector(o), t.VectorLen(o)
	if int64(start)+int64(n)*int64(width) > int64(len(t.Bytes)) {
		return 0, 0, damaged("a list of %d entries is longer than the file's description of itself", n)
	}
	return start, n, nil
}

// tableIn finds a table within a table.
func tableIn(t *flatbuffers.Table, slot flatbuffers.VOffsetT) (*flatbuffers.Table, bool) {
	o := flatbuffers.UOffsetT(t.Offset(slot))
	if o == 0 {
		return nil, false
	}
	return &flatbuffers.Table{Bytes: t.Bytes, Pos: t.Indirect(o + t.Pos)}, true
}

func root(b []byte) *flatbuffers.Table {
	return &flatbuffers.Table{Bytes: b, Pos: flatbuffers.GetUOffsetT(b)}
}

// plain are the types whose columns can be read, by their number in Schema.fbs;
// the others have their name.
var plain = map[byte]bool{1: true, 2: true, 3: true, 5: true, 6: true, 8: true, 10: true, 18: true, 20: true, view: true}

var others = map[byte]string{4: "binary", 7: "decimal", 9: "time of day", 11: "interval", 12: "list", 13: "struct", 14: "union",
	15: "fixed-size binary", 16: "fixed-size list", 17: "map", 19: "large binary", 21: "large list", 22: "run-end encoded",
	23: "binary view", 25: "list view", 26: "large list view"}

var texts = map[byte]bool{5: true, 20: true, view: true}

// schema sees that all columns are plain ones.
func (g *guard) schema(t *flatbuffers.Table) error {
	if _, _, err := vectorIn(t, schemaNotes, flatbuffers.SizeUOffsetT); err != nil {
		return err
	}
	start, n, err := vectorIn(t, schemaFields, flatbuffers.SizeUOffsetT)
	if err != nil {
		return err
	}
	if n > maxColumns {
		return damaged("it claims %d columns", n)
	}
	g.columns, g.words = nil, map[int64]byte{}
	for k := range n {
		f := &flatbuffers.Table{Bytes: t.Bytes, Pos: t.Indirect(start + flatbuffers.UOffsetT(k*flatbuffers.SizeUOffsetT))}
		var name string
		if o := flatbuffers.UOffsetT(f.Offset(fieldName)); o != 0 {
			name = string(f.ByteVector(o + f.Pos))
		}
		_, children, err := vectorIn(f, fieldChildren, flatbuffers.SizeUOffsetT)
		if err == nil {
			_, _, err = vectorIn(f, fieldNotes, flatbuffers.SizeUOffsetT)
		}
		if err != nil {
			return err
		}
		kind := f.GetByteSlot(fieldType, 0)
		words, encoded := tableIn(f, fieldWords)
		switch what, other := others[kind]; {
		case other:
			return fmt.Errorf("column %q is of type %s: %w; numbers, texts, truth values, timestamps, dates and durations can be read", name, what, ErrType)
		case !plain[kind] || children > 0:
			return damaged("column %q is of type %d with %d children, which there is not", name, kind, children)
		case encoded && !texts[kind]:
			return fmt.Errorf("column %q is dictionary-encoded and holds no texts: %w; write its values plainly", name, ErrType)
		case encoded:
			g.words[words.GetInt64Slot(wordsOf, 0)] = kind
			kind = 2 // the words' numbers
		}
		g.columns = append(g.columns, kind)
	}
	return nil
}

// message sees that a message's lists lie within it and its buffers within the
// body, of which part reads some bytes.
func (g *guard) message(meta []byte, body int64, part func(p []byte, off int64) error) (kind byte, err error) {
	t := root(meta)
	if _, _, err := vectorIn(t, messageNotes, flatbuffers.SizeUOffsetT); err != nil {
		return 0, err
	}
	kind = t.GetByteSlot(messageKind, 0)
	content, ok := tableIn(t, message)
	if !ok {
		return kind, damaged("a message is empty")
	}
	switch kind {
	case schemaMessage:
		return kind, g.schema(content)
	case wordsMessage:
		batch, ok := tableIn(content, wordsBatch)
		if !ok {
			return kind, damaged("a dictionary is empty")
		}
		of, known := g.words[content.GetInt64Slot(wordsOf, 0)]
		if !known {
			return kind, damaged("there is a dictionary that no column uses")
		}
		return kind, g.batch(batch, []byte{of}, body, part)
	case rowsMessage:
		return kind, g.batch(content, g.columns, body, part)
	}
	return kind, damaged("there is a message of kind %d", kind)
}

func (g *guard) batch(t *flatbuffers.Table, columns []byte, body int64, part func(p []byte, off int64) error) error {
	rows := t.GetInt64Slot(batchLength, 0)
	nodes, n, err := vectorIn(t, batchNodes, pair)
	if err != nil {
		return err
	}
	if rows < 0 || rows > math.MaxInt32 || n != len(columns) {
		return damaged("a batch claims %d rows of %d columns; the file has %d", rows, n, len(columns))
	}
	for k := range n {
		at := nodes + flatbuffers.UOffsetT(k*pair)
		if length, nulls := t.GetInt64(at), t.GetInt64(at+pair/2); length != rows || nulls < 0 || nulls > rows {
			return damaged("a column claims %d values, %d of them missing, in a batch of %d rows", length, nulls, rows)
		}
	}
	if err := g.views(t, columns); err != nil {
		return err
	}
	holds, err := g.buffers(t, body, part)
	if err != nil {
		return err
	}
	const bits, free = 8, 1024 // a column of nothing but missing values needs no bytes
	if rows > bits*holds+free {
		return damaged("a batch claims %d rows and holds %d bytes", rows, holds)
	}
	return nil
}

// views sees that a batch lists as many buffers as its columns are made of, and
// says so for each column of views.
func (g *guard) views(t *flatbuffers.Table, columns []byte) error {
	_, many, err := vectorIn(t, batchBuffers, pair)
	if err != nil {
		return err
	}
	variadic, n, err := vectorIn(t, batchVariadic, flatbuffers.SizeInt64)
	if err != nil {
		return err
	}
	wanted, views := 0, 0
	for _, kind := range columns {
		wanted += stored(kind)
		if kind != view {
			continue
		}
		if views++; views > n {
			return damaged("it does not say of how many buffers a column of texts is made")
		}
		further := t.GetInt64(variadic + flatbuffers.UOffsetT((views-1)*flatbuffers.SizeInt64))
		if further < 0 || further > int64(many) {
			return damaged("a column claims %d buffers of %d", further, many)
		}
		wanted += int(further)
	}
	if many < wanted {
		return damaged("a batch lists %d buffers; its columns are made of %d", many, wanted)
	}
	return nil
}

// buffers sees that a batch's buffers lie within the body, and returns how many bytes
// they hold, unpacked.
func (g *guard) buffers(t *flatbuffers.Table, body int64, part func(p []byte, off int64) error) (holds int64, err error) {
	buffers, many, err := vectorIn(t, batchBuffers, pair)
	if err != nil {
		return 0, err
	}
	codec, compressed, err := compression(t)
	if err != nil {
		return 0, err
	}
	for k := range many {
		at := buffers + flatbuffers.UOffsetT(k*pair)
		off, length := t.GetInt64(at), t.GetInt64(at+pair/2)
		if off < 0 || length < 0 || off > body || length > body-off {
			return 0, damaged("a buffer of %d bytes at %d lies outside a body of %d bytes", length, off, body)
		}
		if compressed && length > 0 {
			if length, err = unpackedLength(codec, off, length, part); err != nil {
				return 0, err
			}
			if g.unpacked += length; g.unpacked > maxUnpacked {
				return 0, fmt.Errorf("it unpacks to more than %d MB; write it uncompressed or in parts", maxUnpacked>>20)
			}
		}
		holds += length
	}
	return holds, nil
}

// compression returns how a batch's buffers are packed, if they are.
func compression(t *flatbuffers.Table) (codec int8, compressed bool, err error) {
	packed, compressed := tableIn(t, batchPacked)
	if !compressed {
		return 0, false, nil
	}
	if codec = packed.GetInt8Slot(4, 0); codec < lz4 || codec > zstd || packed.GetInt8Slot(6, 0) != 0 {
		return 0, false, fmt.Errorf("it is compressed by method %d: %w; lz4 frames and zstd can be read", codec, ErrType)
	}
	return codec, true, nil
}

// Compression, by its numbers in Message.fbs.
const (
	lz4  = 0
	zstd = 1
)

// unpackedLength returns how long a compressed buffer says that it is, where its
// bytes can become so many.
func unpackedLength(codec int8, off, length int64, part func(p []byte, off int64) error) (int64, error) {
	const prefix = 8
	var b [prefix]byte
	if length < prefix {
		return 0, damaged("a compressed buffer has %d bytes", length)
	}
	if err := part(b[:], off); err != nil {
		return 0, err
	}
	claimed := int64(binary.LittleEndian.Uint64(b[:]))
	if claimed == -1 {
		return length - prefix, nil // stored as it is
	}
	most := 255 * (length - prefix) // a byte of an LZ4 block stands for 255 at most
	if codec == zstd {
		var err error
		if most, err = zstdMost(off+prefix, length-prefix, claimed, part); err != nil {
			return 0, err
		}
	}
	if claimed < 0 || claimed > most {
		return 0, damaged("a buffer of %d bytes claims to unpack to %d", length, claimed)
	}
	return claimed, nil
}

// zstdMost returns how many bytes a zstd frame can hold at most by its blocks
// (RFC 8878, 3.1.1). It fails where the bytes are no frame, or more than one.
func zstdMost(off, length, claimed int64, part func(p []byte, off int64) error) (int64, error) {
	const (
		magic, blockHeader, checksum = 4, 3, 4
		maxBlock                     = 128 << 10
	)
	no := damaged("a buffer is no zstd frame of its length")
	var head [magic + 2]byte
	if length < int64(len(head)) {
		return 0, no
	}
	if err := part(head[:], off); err != nil {
		return 0, err
	}
	if binary.LittleEndian.Uint32(head[:]) != 0xFD2FB528 {
		return 0, no
	}
	descriptor := head[magic]
	single := descriptor>>5&1 == 1
	at := int64(magic + 1)
	if !single {
		exponent, mantissa := head[magic+1]>>3, int64(head[magic+1]&7)
		base := int64(1) << (10 + exponent)
		if window := base + base/8*mantissa; window > max(maxWindow, 2*claimed) {
			return 0, damaged("a zstd frame wants a window of %d bytes for %d", window, claimed)
		}
		at++
	}
	at += []int64{0, 1, 2, 4}[descriptor&3] // dictionary
	size := []int64{0, 2, 4, 8}[descriptor>>6]
	if single {
		size = max(size, 1)
	}
	at += size
	for blocks := int64(1); ; blocks++ {
		var b [4]byte
		if at+blockHeader > length {
			return 0, no
		}
		if err := part(b[:blockHeader], off+at); err != nil {
			return 0, err
		}
		header := binary.LittleEndian.Uint32(b[:])
		stored := int64(header >> 3)
		if header>>1&3 == 1 {
			stored = 1 // one byte, repeated
		}
		at += blockHeader + stored
		if header&1 == 1 {
			if descriptor>>2&1 == 1 {
				at += checksum
			}
			if at != length {
				return 0, no
			}
			return blocks * maxBlock, nil
		}
	}
}
