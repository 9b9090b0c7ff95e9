package source

import (
	"bytes"
	"io"
	"iter"
)

// Line is one line of a file.
type Line struct {
	Number int    // from 1
	Text   []byte // without the line end; good until the next line
	Ended  bool   // a line end follows; the last line may be half-written
	Long   bool   // longer than MaxLine bytes; Text is its beginning
}

// Lines gives out the lines of the file one by one. It ends with an error, a
// FileError, where the file can't be read to its end.
func (s *Source) Lines() iter.Seq2[Line, error] {
	return func(yield func(Line, error) bool) {
		chunks := s.Chunks(1)
		n := 0
		for {
			ch, err := chunks.Next()
			if err == io.EOF {
				return
			}
			if err != nil {
				yield(Line{}, s.Fail("can't be read to its end: "+err.Error(), "copy it again from the device", err))
				return
			}
			for rest := ch.Data; len(rest) > 0; {
				l := Line{Text: rest, Long: ch.Long}
				l.Text, rest, l.Ended = bytes.Cut(rest, []byte{'\n'})
				n++
				l.Number = n
				if !yield(l, nil) {
					return
				}
			}
			chunks.Free <- ch.Data
		}
	}
}
