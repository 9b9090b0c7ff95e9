package report

import (
	"regexp"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// without returns the cells that are left where code is left out: no checks, no
// cell for the answer above a check, and not the text above that, from its last
// heading on, which asks. A reader who can't run cells has no use for them.
func (o Options) without(cells []*nbformat.Cell) []*nbformat.Cell {
	if !o.HideCode {
		return cells
	}
	gone, text := map[int]bool{}, map[int]string{}
	for i, c := range cells {
		if !o.Checks[c.ID()] {
			continue
		}
		gone[i] = true
		if i--; i < 0 || cells[i].Kind() != nbformat.Code {
			continue
		}
		gone[i] = true
		// The question; and above the first one what announces them all.
		for level := 7; level > 2; {
			if i--; i < 0 || cells[i].Kind() != nbformat.Markdown {
				break
			}
			text[i], level = untilLastHeading(cells[i].Source())
			if strings.TrimSpace(text[i]) != "" {
				break
			}
		}
	}
	var left []*nbformat.Cell
	for i, c := range cells {
		switch kept, cut := text[i]; {
		case gone[i], cut && strings.TrimSpace(kept) == "":
		case cut:
			left = append(left, nbformat.NewCell(nbformat.Markdown, kept))
		default:
			left = append(left, c)
		}
	}
	return left
}

var headingLine = regexp.MustCompile(`(?m)^(#{1,6}) `)

// untilLastHeading returns what stands before the last heading, and its level, 7
// where there is none.
func untilLastHeading(source string) (string, int) {
	all := headingLine.FindAllStringSubmatchIndex(source, -1)
	if len(all) == 0 {
		return "", 7
	}
	last := all[len(all)-1]
	return source[:last[0]], last[3] - last[2]
}

// isControl reports whether an output is a control, be it alive or its plain
// value.
func isControl(o nbformat.Output) bool {
	return o.Data[notebook.MIMEWidget] != nil || o.Data[notebook.MIMEControl] != nil
}
