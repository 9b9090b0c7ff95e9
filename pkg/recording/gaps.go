package recording

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/words"
)

// nameGaps warns of pauses that are long for this file.
func nameGaps(t *table.Table) {
	limit := math.Max(5, 5*table.TypicalStep(t.Time))
	n, longest, at := 0, 0.0, 0
	for i := 1; i < len(t.Time); i++ {
		if d := t.Time[i] - t.Time[i-1]; d > limit {
			n++
			if d > longest {
				longest, at = d, i
			}
		}
	}
	if n > 0 {
		t.Warnings.Add(account.GapInTime, t.Name(), fmt.Sprintf("%s longer than %s; the longest is %s, before line %d", words.Plural(n, "gap"), words.Duration(limit), words.Duration(longest), t.Lines.Of(at)))
	}
}
