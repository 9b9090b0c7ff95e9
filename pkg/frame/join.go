package frame

import (
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
)

// Join returns the rows of f with the columns of another frame beside them, for
// rows that have the same values in all the named columns. A row with several
// partners occurs once for each, in the partners' order; one without any keeps
// missing values, and the notes count those. A missing value has no partner.
// The frame holds an error where a named column is not in both frames, holds
// different things in them, or another column of the two has the same name.
func (f *Frame) Join(other *Frame, on ...string) *Frame { return f.join("Join", other, on, true) }

// JoinBoth is Join without the rows that have no partner; the notes count what
// was left out.
func (f *Frame) JoinBoth(other *Frame, on ...string) *Frame {
	return f.join("JoinBoth", other, on, false)
}

func (f *Frame) join(step string, other *Frame, on []string, keep bool) *Frame {
	left, right, err := keyColumns(f, other, on)
	if err != nil {
		return f.fail(step, err)
	}
	partners := map[string][]int{}
	for i := range other.rows {
		if k, ok := keyOf(right, i); ok {
			partners[k] = append(partners[k], i)
		}
	}
	var mine, theirs []int
	alone := 0
	for i := range f.rows {
		k, ok := keyOf(left, i)
		found := partners[k]
		if !ok || len(found) == 0 {
			alone++
			if keep {
				mine, theirs = append(mine, i), append(theirs, -1)
			}
			continue
		}
		for _, p := range found {
			mine, theirs = append(mine, i), append(theirs, p)
		}
	}
	result := f.take(mine, other.notes...)
	for _, c := range other.take(theirs).columns {
		if slices.Contains(on, c.Name) {
			continue
		}
		if err := result.add(c); err != nil {
			return f.fail(step, err)
		}
	}
	if alone > 0 {
		note := fmt.Sprintf("%s: %s without a partner", step, vector.Count(alone, "row"))
		if !keep {
			note += " left out"
		}
		result.notes = append(result.notes, note)
	}
	return result
}

func keyColumns(f, other *Frame, on []string) (left, right []*vector.Column, err error) {
	for _, name := range on {
		a, err := f.column(name)
		if err != nil {
			return nil, nil, err
		}
		b, err := other.column(name)
		if err != nil {
			return nil, nil, fmt.Errorf("the other frame: %w", err)
		}
		if a.Kind != b.Kind || a.Unit.Kind() != b.Unit.Kind() {
			return nil, nil, fmt.Errorf("column %q does not hold the same in both frames", name)
		}
		left, right = append(left, a), append(right, b)
	}
	if len(on) == 0 {
		err = fmt.Errorf("name the columns whose values are to be the same")
	}
	return left, right, err
}

// keyOf writes the values of a row as one text that no other values share; not
// ok where one is missing.
func keyOf(columns []*vector.Column, row int) (key string, ok bool) {
	for _, c := range columns {
		if !c.Has(row) {
			return "", false
		}
		key += fmt.Sprintf("%q", fmt.Sprint(c.Key(row)))
	}
	return key, true
}
