package chart

import (
	"fmt"
	"io"
	"strings"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
	"github.com/bonnetbook/bonnetbook/pkg/internal/pathname"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// Display returns the figure for a notebook: a PNG picture and a line of text.
// A figure that cannot be drawn says why. The Vega-Lite document is not among
// the forms: front ends that know it show it instead of the picture, which
// says more (see VegaLite).
func (f *Figure) Display() notebook.Bundle {
	b := notebook.Bundle{notebook.MIMEText: f.String()}
	png, err := f.PNG()
	if err != nil {
		b[notebook.MIMEText] = err.Error()
		return b
	}
	b[notebook.MIMEPNG] = png
	return b
}

// String describes the figure in a line, for front ends without pictures.
func (f *Figure) String() string {
	var names []string
	for _, e := range f.legendEntries() {
		names = append(names, e.label)
	}
	text := fmt.Sprintf("[chart] %s: %s", f.Title, strings.Join(names, ", "))
	return strings.Join(append([]string{text}, f.Caption...), "\n")
}

// Save writes the figure to a new file, PNG or SVG by the name's ending. It
// refuses to overwrite.
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
