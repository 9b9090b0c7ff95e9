package delimited

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// dropForeign rejects the rows that stand under a header with other names or
// units: what they hold is not what the first header says. The header of the
// file, repeated, ends such a stretch.
func (g *gatherer) dropForeign(b *block) {
	if g.foreign == 0 && len(b.foreign) == 0 {
		return
	}
	kept, next, back := 0, 0, 0
	for i := range b.time {
		for {
			other := next < len(b.foreign) && b.foreign[next].row <= i
			own := back < len(b.breaks) && b.breaks[back] <= i
			if other && (!own || b.foreign[next].row <= b.breaks[back]) {
				g.foreign = g.lines + 1 + b.foreign[next].line
				next++
				continue
			}
			if !own {
				break
			}
			g.foreign = 0
			back++
		}
		if g.foreign > 0 {
			b.rejects = append(b.rejects, account.Reject{Line: int(b.rowLine[i]), Reason: fmt.Sprintf("under another header (line %d)", g.foreign)})
			continue
		}
		b.time[kept], b.rowLine[kept] = b.time[i], b.rowLine[i]
		for c := range b.values {
			b.values[c][kept] = b.values[c][i]
		}
		kept++
	}
	for ; next < len(b.foreign); next++ {
		g.foreign = g.lines + 1 + b.foreign[next].line
	}
	if len(b.foreign) > 0 {
		if g.t.Foreign == 0 {
			g.t.Foreign = g.lines + 1 + b.foreign[0].line
		}
		g.t.Warnings.Add(estimate.LostReadings, g.t.Name(), fmt.Sprintf("line %d: a header with other columns begins here; the rows under it are not read: cut the file there and read the parts on their own", g.lines+1+b.foreign[0].line))
	}
	b.breaks = b.breaks[:0]
	b.time, b.rowLine = b.time[:kept], b.rowLine[:kept]
	for c := range b.values {
		b.values[c] = b.values[c][:kept]
	}
	table.SortRejects(b.rejects)
}
