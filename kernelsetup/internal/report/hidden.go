package report

import (
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// hidden tells which cells are left out where the code is: checks, the cell for
// the answer above, and the text above that which asks. A reader who can't run
// cells has no use for them.
func (p page) hidden(cells []*nbformat.Cell) map[int]bool {
	out := map[int]bool{}
	if !p.opt.HideCode {
		return out
	}
	for i, c := range cells {
		if !p.opt.Checks[c.ID()] {
			continue
		}
		out[i] = true
		for _, kind := range []nbformat.Kind{nbformat.Code, nbformat.Markdown} {
			if i--; i < 0 || cells[i].Kind() != kind {
				break
			}
			out[i] = true
		}
	}
	return out
}

// isControl reports whether an output is a control, be it alive or its plain
// value.
func isControl(o nbformat.Output) bool {
	return o.Data[notebook.MIMEWidget] != nil || o.Data[notebook.MIMEControl] != nil
}
