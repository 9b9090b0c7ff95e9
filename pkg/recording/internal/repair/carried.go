package repair

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// Carried recognises files that refresh one signal in each row and repeat
// the others from the row before: ten signals in eleven rows a second are one
// reading a second each. Kept as they stand, the repeats would look like
// independent readings and shift each signal by up to a round.
//
// Where signals take turns, each column keeps only the rows of its own turn.
// Otherwise all rows stay and a warning says so.
func Carried(t *table.Table) {
	n := len(t.Columns)
	if t.Layout.KeepCarried || n < 4 || len(t.Time) < 20*n {
		return
	}
	// A look at the beginning spares most files the rest.
	if _, several, _ := changes(t, min(len(t.Time), 50*n)); several*10 > 50*n {
		return
	}
	changed, several, total := changes(t, len(t.Time))
	// Independent columns change together somewhere; these never do.
	if several*50 > len(t.Time) || total*10 < len(t.Time) {
		return
	}
	slots, turn, ok := takeTurns(changed, n, firstValues(t))
	if !ok {
		t.Warnings.Add(estimate.Correlated, t.Name(), "hardly any row changes more than one signal: values are carried forward from earlier rows, so that rows are not independent readings")
		return
	}
	kept := 0
	for i, first := range firstValues(t) {
		own := []int{}
		for r, s := range slots {
			if int(s) == turn[i] && first >= 0 && r >= first {
				own = append(own, r)
			}
		}
		t.Columns[i].Own = own
		kept += len(own)
		t.Columns[i].Tallies = t.Columns[i].Tallies.Without(table.MissEmpty)
	}
	rate := float64(len(t.Time)) / float64(n) / max(1e-9, t.Time[len(t.Time)-1]-t.Time[0])
	t.Account.Changes = append(t.Account.Changes, account.Change{Rows: len(t.Time), What: fmt.Sprintf(
		"each row refreshes one signal and repeats the others: every signal keeps its own turn only, %d of %d cells (about %.1f readings a second; keep_carried keeps all)",
		kept, n*len(t.Time), rate)})
	t.Note("carried", "one signal refreshed in each row", fmt.Sprintf("%d of %d rows change more than one of %d signals", several, len(t.Time), n))
}

// changes returns for each of the first rows the column that changed, −1 for none or
// several, with the number of rows that change several and of all changes.
func changes(t *table.Table, rows int) (changed []int16, several, total int) {
	changed = make([]int16, rows)
	for r := range changed {
		changed[r] = -1
		now := 0
		for i := range t.Columns {
			v := t.Columns[i].Values[r]
			if r > 0 && v != t.Columns[i].Values[r-1] && !(math.IsNaN(v) && math.IsNaN(t.Columns[i].Values[r-1])) {
				changed[r] = int16(i)
				now++
			}
		}
		total += now
		if now > 1 {
			several++
			changed[r] = -1
		}
	}
	return changed, several, total
}

// firstValues returns the row of each column's first value, −1 for none.
func firstValues(t *table.Table) []int {
	first := make([]int, len(t.Columns))
	for i, c := range t.Columns {
		first[i] = -1
		for r, v := range c.Values {
			if !math.IsNaN(v) {
				first[i] = r
				break
			}
		}
	}
	return first
}

// takeTurns finds the turn of each column within a round of n rows, and the
// place of each row within its round. A row lost or doubled shifts the round:
// when several changes in a row agree on another shift, the round begins anew
// at the first of them. ok is false where less than 95 % of the changes fall
// into their column's turn.
func takeTurns(changed []int16, n int, first []int) (slots []int16, turn []int, ok bool) {
	reference := referenceTurns(changed, n)
	slots = make([]int16, len(changed))
	offset, other, agreed, since := 0, 0, 0, 0
	const enough = 5
	from := 0
	settle := func(to int) {
		for r := from; r < to; r++ {
			slots[r] = int16((r + n - offset) % n)
		}
		from = to
	}
	for r, c := range changed {
		if c < 0 || reference[c] < 0 {
			continue
		}
		o := (r%n - reference[c] + n) % n
		switch {
		case o == offset:
			agreed = 0
		case o == other && agreed > 0:
			agreed++
		default:
			other, agreed, since = o, 1, r
		}
		if agreed == enough {
			settle(since)
			offset, agreed = other, 0
		}
	}
	settle(len(changed))
	hits := make([][]int, n)
	for i := range hits {
		hits[i] = make([]int, n)
	}
	for r, c := range changed {
		if c >= 0 {
			hits[c][slots[r]]++
		}
	}
	turn = make([]int, n)
	taken := make([]bool, n)
	right, all := 0, 0
	var never []int
	for i, h := range hits {
		for s, k := range h {
			all += k
			if k > h[turn[i]] {
				turn[i] = s
			}
		}
		if h[turn[i]] < 2 {
			never = append(never, i)
			continue
		}
		right += h[turn[i]]
		if taken[turn[i]] {
			return nil, nil, false
		}
		taken[turn[i]] = true
	}
	for _, i := range never { // by the row of its first value
		turn[i] = int(slots[max(0, first[i])])
		if taken[turn[i]] {
			return nil, nil, false
		}
		taken[turn[i]] = true
	}
	return slots, turn, right*100 >= all*95
}

// referenceTurns finds the turns from the first rows, before a round can have
// shifted: −1 where a column changes too seldom to tell.
func referenceTurns(changed []int16, n int) []int {
	hits := make([][]int, n)
	for i := range hits {
		hits[i] = make([]int, n)
	}
	for r, c := range changed[:min(len(changed), 50*n)] {
		if c >= 0 {
			hits[c][r%n]++
		}
	}
	turn := make([]int, n)
	for i, h := range hits {
		best, sum := 0, 0
		for s, k := range h {
			sum += k
			if k > h[best] {
				best = s
			}
		}
		turn[i] = best
		if h[best] < 3 || h[best]*10 < sum*9 {
			turn[i] = -1
		}
	}
	return turn
}
