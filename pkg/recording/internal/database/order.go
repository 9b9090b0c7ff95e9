package database

import (
	"cmp"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// inOrder puts the rows in order of their times where they stand in none: a
// table of a data base has no order of its own. Times that fall seldom are left
// to whoever looks for a clock that was set back.
func inOrder(t *table.Table) {
	falls := 0
	for i := 1; i < len(t.Time); i++ {
		if t.Time[i] < t.Time[i-1] {
			falls++
		}
	}
	if !t.Dated() || falls*20 <= len(t.Time) {
		return
	}
	order := make([]int, len(t.Time))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(t.Time[a], t.Time[b]) })
	var lines table.LineMap
	for to, from := range order {
		lines.Add(to, t.Lines.Of(from))
	}
	t.Lines = lines
	sorted := func(v []float64) []float64 {
		out := make([]float64, len(v))
		for to, from := range order {
			out[to] = v[from]
		}
		return out
	}
	t.Time = sorted(t.Time)
	for i := range t.Columns {
		t.Columns[i].Values = sorted(t.Columns[i].Values)
	}
	t.Breaks = nil
	t.Account.Changes = append(t.Account.Changes, account.Change{Line: t.Lines.Of(0), Rows: len(t.Time), What: "the table's rows put in order of their times"})
}
