package arrowipc

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/ipc"
	"github.com/apache/arrow-go/v18/arrow/memory"
	flatbuffers "github.com/google/flatbuffers/go"
)

// source gives the batches of a file or a stream, io.EOF behind the last.
type source struct {
	schema *arrow.Schema
	next   func() (arrow.RecordBatch, error)
	notes  func() []string
}

const (
	continuation = 0xFFFFFFFF // before the length of a message
	lengthBytes  = 4
)

// sourceOf opens data by their first bytes.
func sourceOf(r io.ReaderAt, size int64) (*source, error) {
	head := make([]byte, len(ipc.Magic))
	if size < int64(len(head)) {
		return nil, damaged("there are %d bytes", size)
	}
	if _, err := r.ReadAt(head, 0); err != nil {
		return nil, err
	}
	if bytes.Equal(head, ipc.Magic) {
		return fileSource(r, size)
	}
	return streamSource(r, size)
}

// fileSource opens the file format, after every message was looked at.
func fileSource(r io.ReaderAt, size int64) (*source, error) {
	if err := checkFile(r, size); err != nil {
		return nil, err
	}
	f, err := ipc.NewFileReader(io.NewSectionReader(r, 0, size), ipc.WithBodySizeLimit(size), ipc.WithMetadataSizeLimit(size))
	if err != nil {
		return nil, damaged("%v", err)
	}
	return &source{schema: f.Schema(), next: f.Read, notes: func() []string { return nil }}, nil
}

func checkFile(r io.ReaderAt, size int64) error {
	const block = 24 // bytes of an entry in the table of contents
	tail := make([]byte, lengthBytes+len(ipc.Magic))
	if size < int64(len(tail)+len(ipc.Magic)) {
		return damaged("the file is cut off after %d bytes", size)
	}
	if _, err := r.ReadAt(tail, size-int64(len(tail))); err != nil {
		return err
	}
	if !bytes.Equal(tail[lengthBytes:], ipc.Magic) {
		return damaged("the file is cut off: it does not end with %s; copy it again", ipc.Magic)
	}
	length := int64(binary.LittleEndian.Uint32(tail))
	room := size - int64(len(tail)+len(ipc.Magic))
	if length < lengthBytes || length > room {
		return damaged("its table of contents claims %d bytes of %d", length, size)
	}
	b := make([]byte, length)
	if _, err := r.ReadAt(b, size-int64(len(tail))-length); err != nil {
		return err
	}
	footer := root(b)
	var g guard
	schema, ok := tableIn(footer, footerSchema)
	if !ok {
		return damaged("it names no columns")
	}
	if err := g.schema(schema); err != nil {
		return err
	}
	if _, _, err := vectorIn(footer, footerNotes, flatbuffers.SizeUOffsetT); err != nil {
		return err
	}
	for _, slot := range []flatbuffers.VOffsetT{footerWords, footerRows} {
		start, n, err := vectorIn(footer, slot, block)
		if err != nil {
			return err
		}
		for k := range n {
			at := start + flatbuffers.UOffsetT(k*block)
			off, meta, body := footer.GetInt64(at), int64(footer.GetInt32(at+8)), footer.GetInt64(at+16)
			// No two may lie on each other, so all together fit in the file.
			if room -= meta + body; off < 0 || meta < 3*lengthBytes || body < 0 || body > size || room < 0 || off > size-meta-body {
				return damaged("a block of %d and %d bytes at %d lies outside the file of %d bytes or on another", meta, body, off, size)
			}
			if err := checkBlock(&g, r, off, meta, body); err != nil {
				return err
			}
		}
	}
	return nil
}

func checkBlock(g *guard, r io.ReaderAt, off, meta, body int64) error {
	b := make([]byte, meta)
	if _, err := r.ReadAt(b, off); err != nil {
		return damaged("%v", err)
	}
	prefix := lengthBytes
	if binary.LittleEndian.Uint32(b) == continuation {
		prefix += lengthBytes
	}
	b = b[prefix:]
	_, err := g.message(b, body, func(p []byte, at int64) error { return readAt(r, p, off+meta+at) })
	return err
}

func readAt(r io.ReaderAt, p []byte, off int64) error {
	if _, err := r.ReadAt(p, off); err != nil {
		return damaged("%v", err)
	}
	return nil
}

// streamSource opens the stream format.
func streamSource(r io.ReaderAt, size int64) (*source, error) {
	m := &messages{r: io.NewSectionReader(r, 0, size), left: size}
	reader, err := ipc.NewReaderFromMessageReader(m)
	if err != nil {
		return nil, known(err)
	}
	next := func() (arrow.RecordBatch, error) {
		batch, err := reader.Read()
		switch {
		case errors.Is(err, io.EOF):
			return nil, io.EOF
		case err != nil:
			return nil, known(err)
		}
		return batch, nil
	}
	return &source{schema: reader.Schema(), next: next, notes: m.notes}, nil
}

// known keeps what this package found, and says of anything else that the data
// are damaged.
func known(err error) error {
	if errors.Is(err, ErrDamaged) || errors.Is(err, ErrType) {
		return err
	}
	return damaged("%v", err)
}

// messages cuts a stream into its messages, each looked at before it is passed on.
type messages struct {
	r     io.Reader
	left  int64
	guard guard
	seen  int
	ended bool
}

// Retain and Release have nothing to do: memory is the collector's.
func (m *messages) Retain()  {}
func (m *messages) Release() {}

// notes say where a stream may be cut off without a trace.
func (m *messages) notes() []string {
	switch {
	case !m.ended:
		return []string{"the stream has no mark of its end: it may be cut off behind a batch"}
	case m.left > 0:
		return []string{fmt.Sprintf("%d bytes behind the end of the stream are not read", m.left)}
	}
	return nil
}

// Message returns the next message, io.EOF behind the last.
func (m *messages) Message() (*ipc.Message, error) {
	if m.left == 0 && m.seen > 0 {
		return nil, io.EOF
	}
	length, err := m.word()
	if err == nil && length == continuation {
		length, err = m.word()
	}
	if err != nil {
		return nil, err
	}
	if length == 0 {
		m.ended = true
		return nil, io.EOF
	}
	if length < lengthBytes || int64(length) > m.left {
		if m.seen == 0 {
			return nil, damaged("neither the file format nor the stream format begins like this")
		}
		return nil, damaged("a message of %d bytes is cut off, or no message; %d bytes are left", length, m.left)
	}
	meta, err := m.take(int64(length))
	if err != nil {
		return nil, err
	}
	body := root(meta).GetInt64Slot(messageBody, 0)
	if body < 0 || body > m.left {
		return nil, damaged("a message of %d bytes is cut off; %d bytes are left", body, m.left)
	}
	content, err := m.take(body)
	if err != nil {
		return nil, err
	}
	kind, err := m.guard.message(meta, body, func(p []byte, off int64) error {
		copy(p, content[off:off+int64(len(p))])
		return nil
	})
	if err != nil {
		return nil, err
	}
	if (kind == schemaMessage) != (m.seen == 0) {
		return nil, damaged("message %d is of kind %d: the first must name the columns, and only that", m.seen+1, kind)
	}
	m.seen++
	return ipc.NewMessage(memory.NewBufferBytes(meta), memory.NewBufferBytes(content)), nil
}

func (m *messages) word() (uint32, error) {
	b, err := m.take(lengthBytes)
	if err != nil {
		return 0, err
	}
	return binary.LittleEndian.Uint32(b), nil
}

func (m *messages) take(n int64) ([]byte, error) {
	if n > m.left {
		return nil, damaged("the stream is cut off: %d bytes are left of %d", m.left, n)
	}
	m.left -= n
	b := make([]byte, n)
	_, err := io.ReadFull(m.r, b)
	return b, err
}
