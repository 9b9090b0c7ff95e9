package course

import (
	"bytes"
	"fmt"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/notebooks"
)

// Check is the cell that judges the answer to one exercise.
type Check struct {
	// Exercise is the exercise's ID, Cell that of the cell, Source what stands
	// in it.
	Exercise, Cell, Source string
}

// Checks returns the checks of each notebook that has exercises, by the
// notebook's name, in their order. It fails where a notebook that the program
// carries is damaged, or an exercise has no check below it.
func Checks() (map[string][]Check, error) {
	names, err := carried()
	if err != nil {
		return nil, err
	}
	all := map[string][]Check{}
	for _, name := range names {
		data, err := notebooks.Carried.ReadFile(name)
		if err != nil {
			return nil, err
		}
		n, err := nbformat.Read(bytes.NewReader(data))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		for i, c := range n.Cells {
			e, asks, err := exerciseOf(c)
			switch {
			case err != nil:
				return nil, fmt.Errorf("%s, cell %d: %w", name, i+1, err)
			case !asks:
				continue
			case i+1 == len(n.Cells) || n.Cells[i+1].Kind() != nbformat.Code:
				return nil, fmt.Errorf("%s, cell %d: exercise %s has no check below it", name, i+1, e.ID)
			}
			check := n.Cells[i+1]
			all[name] = append(all[name], Check{e.ID, check.ID(), check.Source()})
		}
	}
	return all, nil
}
