package recording

import (
	"bytes"
	"io"
)

// chunk is a piece of text that ends at the end of a line.
type chunk struct {
	data []byte
	// unended says that the last line has no line end: the file stops there.
	unended bool
	// long says that data is the beginning of one line longer than allowed.
	long bool
	// nuls is the number of NUL bytes dropped from a run longer than a chunk.
	nuls int
}

// chunker cuts a stream into chunks. Buffers come from and go back to free.
type chunker struct {
	r    io.Reader
	cr   bool
	rest []byte // begun line
	nuls int
	done bool
	free chan []byte
}

func newChunker(r io.Reader, cr bool, buffers int) *chunker {
	c := &chunker{r: r, cr: cr, free: make(chan []byte, buffers)}
	for range buffers {
		c.free <- nil
	}
	return c
}

// next returns the next chunk, or io.EOF. It waits for a free buffer.
func (c *chunker) next() (chunk, error) {
	if c.done {
		return chunk{}, io.EOF
	}
	buf := <-c.free
	if buf == nil {
		buf = make([]byte, chunkSize+maxLine)
	}
	buf = buf[:cap(buf)]
	n := copy(buf, c.rest)
	c.rest = c.rest[:0]
	for {
		k, err := io.ReadFull(c.r, buf[n:max(n, min(len(buf), chunkSize))])
		if c.cr {
			bareToLineFeed(buf[n : n+k])
		}
		n += k
		if err == io.EOF || err == io.ErrUnexpectedEOF {
			c.done = true
			if n == 0 {
				c.free <- buf
				return chunk{}, io.EOF
			}
			out := chunk{data: buf[:n], nuls: c.nuls, unended: buf[n-1] != '\n'}
			c.nuls = 0
			return out, nil
		}
		if err != nil {
			return chunk{}, err
		}
		if i := bytes.LastIndexByte(buf[:n], '\n'); i >= 0 {
			if n-i-1 <= maxLine {
				c.rest = append(c.rest, buf[i+1:n]...)
				out := chunk{data: buf[:i+1], nuls: c.nuls}
				c.nuls = 0
				return out, nil
			}
			// A long line begins here; let it start a chunk of its own.
			c.rest = append(c.rest, buf[i+1:n]...)
			out := chunk{data: buf[:i+1], nuls: c.nuls}
			c.nuls = 0
			return out, nil
		}
		if t := bytes.TrimLeft(buf[:n], "\x00"); len(t) < maxLine {
			c.nuls += n - len(t)
			n = copy(buf, t)
			continue
		}
		return c.skipLong(buf, n)
	}
}

// skipLong reads on to the end of a line that is longer than allowed.
func (c *chunker) skipLong(buf []byte, n int) (chunk, error) {
	one := make([]byte, 32<<10)
	for {
		k, err := c.r.Read(one)
		piece := one[:k]
		if c.cr {
			bareToLineFeed(piece)
		}
		if i := bytes.IndexByte(piece, '\n'); i >= 0 {
			c.rest = append(c.rest, piece[i+1:]...)
			return chunk{data: buf[:maxLine], long: true}, nil
		}
		if err != nil {
			c.done = true
			return chunk{data: buf[:maxLine], long: true, unended: true}, nil
		}
	}
}

func bareToLineFeed(b []byte) {
	for i, x := range b {
		if x == '\r' {
			b[i] = '\n'
		}
	}
}
