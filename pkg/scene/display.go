package scene

import (
	"fmt"
	"io"
	"strings"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
	"github.com/bonnetbook/bonnetbook/internal/pathname"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
	"github.com/bonnetbook/bonnetbook/pkg/scene/internal/raster"
	"github.com/bonnetbook/bonnetbook/pkg/scene/live"
)

// still is how finely a picture is drawn that nobody zooms into.
var still = measures{cells: 2400, dots: 20000}

// drawable returns the figure without empty panels, and what it is laid out for.
func (f *Figure) drawable() (*Figure, measures, error) {
	m, g := still, f.withoutEmpty()
	m.width = f.ownWidth()
	if len(g.Panels) == 0 {
		return g, m, fmt.Errorf("chart %q has nothing to draw", f.Title)
	}
	return g, m, nil
}

// PNG returns the figure as a PNG image. It fails for a figure without
// data.
func (f *Figure) PNG() ([]byte, error) {
	g, m, err := f.drawable()
	if err != nil {
		return nil, err
	}
	return raster.PNG(g.layOut(m))
}

// SVG returns the figure as an SVG document. It fails as [Figure.PNG] does.
func (f *Figure) SVG() ([]byte, error) {
	g, m, err := f.drawable()
	if err != nil {
		return nil, err
	}
	return raster.SVG(g.layOut(m))
}

const (
	narrowWidth = 300.0 // points; the whole width of a telephone
	// mostInteractive bounds the interactive form in bytes.
	mostInteractive = 80_000
)

// Interactive returns the figure as a piece of a web page that needs nothing
// from elsewhere: the picture, for wide and for narrow pages, and a script that
// lets a person zoom and move along the horizontal axis of all panels together
// and read values off. Where scripts don't run, it is the picture alone. It is
// at most 80,000 bytes long; to that end long curves are reduced to the lowest
// and highest value of each of as many pieces as fit, so that no peak is lost.
// It fails as [Figure.PNG] does, and where even few pieces are too many.
func (f *Figure) Interactive() (string, error) {
	g, m, err := f.drawable()
	if err != nil {
		return "", err
	}
	m.dots = 6000
	for m.cells = 1500; m.cells >= 20; {
		wide, narrow := m, m
		narrow.width, narrow.cells, narrow.dots = narrowWidth, min(m.cells, 250), m.dots/2
		page := live.HTML(g.layOut(wide), g.layOut(narrow), f.String())
		if len(page) <= mostInteractive {
			return page, nil
		}
		less := max(0.5, min(0.92, mostInteractive/float64(len(page))))
		m.cells, m.dots = int(less*float64(m.cells)), int(less*float64(m.dots))
	}
	return "", fmt.Errorf("chart %q: too many curves for an interactive form of %d bytes", f.Title, mostInteractive)
}

// Display returns the figure for a notebook: one to explore, a PNG picture for
// front ends that show no pages, and a line of text. A figure without data is
// its title and caption.
func (f *Figure) Display() notebook.Bundle {
	b := notebook.Bundle{notebook.MIMEText: f.String()}
	png, err := f.PNG()
	if err != nil {
		return b
	}
	b[notebook.MIMEPNG] = png
	if page, err := f.Interactive(); err == nil {
		b[notebook.MIMEHTML] = page
	}
	return b
}

// String describes the figure in a line, for front ends without pictures.
func (f *Figure) String() string {
	var names []string
	g := f.withoutEmpty()
	for _, e := range g.entries(nil) {
		names = append(names, e.label)
	}
	text := fmt.Sprintf("[chart] %s: %s", f.Title, strings.Join(names, ", "))
	if len(g.Panels) == 0 {
		text = fmt.Sprintf("[no chart] %s: nothing to draw", f.Title)
	}
	return strings.Join(append([]string{text}, g.Caption...), "\n")
}

// Save writes the figure to a new file, PNG or SVG by the name's ending. It
// fails for another ending, where [Figure.PNG] does, where the file exists
// already (nothing is overwritten) and where it can't be written.
func (f *Figure) Save(path string) error {
	var data []byte
	var err error
	switch {
	case strings.HasSuffix(path, ".png"):
		data, err = f.PNG()
	case strings.HasSuffix(path, ".svg"):
		data, err = f.SVG()
	default:
		return fmt.Errorf("%s: a chart is saved as .png or .svg", path)
	}
	if err != nil {
		return err
	}
	err = atomicfile.Create(pathname.Expand(path), 0o644, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
	if err != nil {
		return fmt.Errorf("saving a chart: %w", err)
	}
	return nil
}
