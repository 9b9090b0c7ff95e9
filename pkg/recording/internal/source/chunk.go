package source

import (
	"bytes"
	"io"
)

// Chunk is a piece of text that ends at the end of a line.
type Chunk struct {
	Data []byte
	// Long says that data is the beginning of one line longer than allowed.
	Long bool
	// Nuls is the number of NUL bytes dropped from a run longer than a chunk.
	Nuls int
}

// Chunker cuts a stream into chunks. Buffers come from and go back to Free.
type Chunker struct {
	r    io.Reader
	cr   bool
	size int    // of a buffer
	rest []byte // begun line
	nuls int
	done bool
	Free chan []byte
}

// Chunks cuts the text of the file. The cutter holds so many chunks at a time:
// give each back to Free.
func (s *Source) Chunks(buffers int) *Chunker {
	// A small file needs no more than its text, which is at most three times as
	// long as its bytes are (bytes that no character begins with, in GBK), and a
	// byte to see that it ends.
	size := min(chunkSize+MaxLine, 3*s.Size+1)
	c := &Chunker{r: s.Reader(0), cr: s.CR, size: int(size), Free: make(chan []byte, buffers)}
	for range buffers {
		c.Free <- nil
	}
	return c
}

// Next returns the next chunk, or io.EOF. It waits for a free buffer.
func (c *Chunker) Next() (Chunk, error) {
	if c.done {
		return Chunk{}, io.EOF
	}
	buf := <-c.Free
	if buf == nil {
		buf = make([]byte, c.size)
	}
	buf = buf[:cap(buf)]
	n := copy(buf, c.rest)
	c.rest = c.rest[:0]
	for {
		k, err := io.ReadFull(c.r, buf[n:max(n, min(len(buf), chunkSize))])
		if c.cr { // the last byte before may have been one that ends a line
			bareToLineFeed(buf[max(0, n-1) : n+k])
		}
		n += k
		if err == io.EOF || err == io.ErrUnexpectedEOF {
			if c.cr {
				EndsToLineFeed(buf[max(0, n-1):n])
			}
			c.done = true
			if n == 0 {
				c.Free <- buf
				return Chunk{}, io.EOF
			}
			out := Chunk{Data: buf[:n], Nuls: c.nuls}
			c.nuls = 0
			return out, nil
		}
		if err != nil {
			return Chunk{}, err
		}
		if i := bytes.LastIndexByte(buf[:n], '\n'); i >= 0 {
			if n-i-1 <= MaxLine {
				c.rest = append(c.rest, buf[i+1:n]...)
				out := Chunk{Data: buf[:i+1], Nuls: c.nuls}
				c.nuls = 0
				return out, nil
			}
			// A long line begins here; let it start a chunk of its own.
			c.rest = append(c.rest, buf[i+1:n]...)
			out := Chunk{Data: buf[:i+1], Nuls: c.nuls}
			c.nuls = 0
			return out, nil
		}
		if t := bytes.TrimLeft(buf[:n], "\x00"); len(t) < MaxLine {
			c.nuls += n - len(t)
			n = copy(buf, t)
			continue
		}
		return c.skipLong(buf, n)
	}
}

// skipLong reads on to the end of a line that is longer than allowed.
func (c *Chunker) skipLong(buf []byte, n int) (Chunk, error) {
	one := make([]byte, 32<<10)
	for {
		k, err := c.r.Read(one)
		piece := one[:k]
		if c.cr {
			EndsToLineFeed(piece)
		}
		if i := bytes.IndexByte(piece, '\n'); i >= 0 {
			c.rest = append(c.rest, piece[i+1:]...)
			return Chunk{Data: buf[:MaxLine], Long: true}, nil
		}
		if err != nil {
			c.done = true
			return Chunk{Data: buf[:MaxLine], Long: true}, nil
		}
	}
}

// bareToLineFeed makes line feeds of carriage returns that stand before neither
// a line feed nor another of their kind. One at the end is left.
func bareToLineFeed(b []byte) {
	for i := range b {
		if endsLine(b, i) {
			b[i] = '\n'
		}
	}
}

// EndsToLineFeed is bareToLineFeed for a text that nothing follows, or nothing
// that is known: one at its end becomes a line feed, too.
func EndsToLineFeed(b []byte) {
	bareToLineFeed(b)
	if n := len(b); n > 0 && b[n-1] == '\r' {
		b[n-1] = '\n'
	}
}

// endsLine reports whether a carriage return ends a line alone: neither before
// a line feed nor before another of its kind, and not at the end of b.
func endsLine(b []byte, i int) bool {
	return b[i] == '\r' && i+1 < len(b) && b[i+1] != '\n' && b[i+1] != '\r'
}
