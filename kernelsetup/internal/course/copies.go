package course

import (
	"encoding/json"
	"errors"
	"fmt"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
)

// own is the name under which a cell's metadata hold what is ours.
const own = "bonnetbook"

// An exercise as the metadata of its cell hold it. The cell's source is the
// stub; the cell that checks the answer follows it.
type exercise struct {
	ID       string `json:"id"`
	Solution string `json:"solution"`
}

// exerciseOf returns the exercise that a cell asks, if it does. It fails where
// the metadata hold one without ID or solution.
func exerciseOf(c *nbformat.Cell) (exercise, bool, error) {
	data, err := json.Marshal(c.Metadata(own))
	if err != nil {
		return exercise{}, false, err
	}
	var marks struct {
		Exercise *exercise `json:"exercise"`
	}
	if err := json.Unmarshal(data, &marks); err != nil || marks.Exercise == nil {
		return exercise{}, false, err
	}
	e := *marks.Exercise
	if e.ID == "" || e.Solution == "" {
		return e, false, errors.New("an exercise needs an id and a solution")
	}
	return e, true, nil
}

// learners turns a notebook into the learner's copy: no outputs, and nothing
// in the metadata that tells a solution or what the text claims.
func learners(n *nbformat.Notebook) {
	n.StripOutputs()
	for _, c := range n.Cells {
		c.DropMetadata(own)
	}
}

// solve puts the solutions in the places of the stubs and returns how many
// there are. It fails as exerciseOf does.
func solve(n *nbformat.Notebook) (int, error) {
	solved := 0
	for i, c := range n.Cells {
		e, ok, err := exerciseOf(c)
		if err != nil {
			return solved, fmt.Errorf("cell %d: %w", i+1, err)
		}
		if ok {
			c.SetSource(e.Solution)
			solved++
		}
	}
	return solved, nil
}
