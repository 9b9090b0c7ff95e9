package grid

import (
	"bytes"
	"io"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Line is one line that detection looks at.
type Line struct {
	Number int // counts from 1; 0 where it is not known
	Text   []byte
}

// Sample is what detection sees of a file: all of a small one, else its
// beginning and pieces spread evenly over the rest.
type Sample struct {
	Lines []Line
	// Head is the number of lines at the beginning that follow one another.
	Head int
	// BytesPerLine is the mean length of a line in the file's own bytes.
	BytesPerLine float64
	Whole        bool // the sample is the whole file
}

// Sizes of a sample. 256 KiB at the head hold some 5000 rows of a logger.
const (
	wholeLimit  = 1 << 20
	pieces      = 48
	pieceLength = 16 << 10
)

func takeSample(s *source.Source) (*Sample, error) {
	p := &Sample{Whole: s.Size <= wholeLimit}
	limit := int64(source.HeadSize)
	if p.Whole {
		limit = wholeLimit * 2 // UTF-16 may grow
	}
	text, err := s.First(limit)
	if err != nil {
		return nil, s.Fail("can't be read: "+err.Error(), "copy it again from the device", err)
	}
	if !p.Whole {
		text = text[:bytes.LastIndexAny(text, "\r\n")+1]
	}
	p.add(text, s.CR, 1)
	p.Head = len(p.Lines)
	bytesRead := float64(len(text))
	if s.Encoding == layout.UTF16LE || s.Encoding == layout.UTF16BE {
		bytesRead *= 2
	}
	p.BytesPerLine = bytesRead / float64(max(1, p.Head))
	if p.Whole {
		return p, nil
	}
	step := (s.Size - source.HeadSize) / pieces
	for i := range int64(pieces) {
		at := (source.HeadSize + i*step) &^ 1
		text, err := io.ReadAll(io.LimitReader(s.Reader(at+int64(s.Mark)), pieceLength))
		if err != nil {
			return nil, s.Fail("can't be read: "+err.Error(), "copy it again from the device", err)
		}
		from, to := bytes.IndexAny(text, "\r\n"), bytes.LastIndexAny(text, "\r\n")
		if from >= 0 && to > from {
			p.add(text[from+1:to+1], s.CR, 0)
		}
	}
	return p, nil
}

// add splits text into lines; first is the number of the first, 0 if unknown.
func (p *Sample) add(text []byte, cr bool, first int) {
	if cr {
		source.EndsToLineFeed(text)
	}
	for len(text) > 0 {
		line := text
		if i := bytes.IndexByte(text, '\n'); i >= 0 {
			line, text = text[:i], text[i+1:]
		} else {
			text = nil
		}
		line = bytes.Trim(bytes.TrimRight(line, "\r"), "\x00\x1a")
		if len(line) > source.MaxLine {
			line = nil
		}
		p.Lines = append(p.Lines, Line{first, line})
		if first > 0 {
			first++
		}
	}
}
