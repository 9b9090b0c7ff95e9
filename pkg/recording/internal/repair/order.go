package repair

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// putForward turns a file round that has its newest row first.
func putForward(t *table.Table) {
	down, up := 0, 0
	for i := 1; i < len(t.Time); i++ {
		if t.Time[i] < t.Time[i-1] {
			down++
		} else if t.Time[i] > t.Time[i-1] {
			up++
		}
	}
	if down < 10 || down < 20*up || t.Times == layout.ByInterval {
		return
	}
	n := len(t.Time)
	var lines table.LineMap
	for r := range n {
		lines.Add(r, t.Lines.Of(n-1-r))
	}
	t.Lines = lines
	slices.Reverse(t.Time)
	for _, c := range t.Columns {
		slices.Reverse(c.Values)
	}
	for i, b := range t.Breaks {
		t.Breaks[i] = n - b
	}
	slices.Sort(t.Breaks)
	t.Account.Changes = append(t.Account.Changes, account.Change{Line: t.Lines.Of(0), Rows: n, What: "the newest row comes first: rows turned round"})
}

// dropStrays rejects single rows whose stamp lies far from both neighbours,
// which follow one another.
func dropStrays(t *table.Table) {
	step := table.TypicalStep(t.Time)
	far := math.Max(3600, 1000*step)
	var stray []int
	for i := 1; i+1 < len(t.Time); i++ {
		around := t.Time[i+1] - t.Time[i-1]
		if math.Abs(t.Time[i]-t.Time[i-1]) > far && around >= 0 && around < 10*step+1 {
			stray = append(stray, i)
			i++
		}
	}
	t.Reject(stray, "stamp far from those of the rows around it")
}
