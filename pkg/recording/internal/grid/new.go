package grid

import (
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// New divides a file into cells.
func New(src *source.Source, given layout.Layout) (*Grid, error) {
	s, err := takeSample(src)
	if err != nil {
		return nil, err
	}
	g := &Grid{Src: src, Sample: s, Layout: given}
	g.Note("encoding", string(src.Encoding), GivenOr(given.Encoding != "", ""))
	if err := g.findDelimiter(); err != nil {
		return nil, err
	}
	g.endAtOtherNames()
	if err := g.findHeader(); err != nil {
		return nil, err
	}
	g.gather()
	return g, nil
}
