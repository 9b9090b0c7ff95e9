package repair

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/numbers"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/pace"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// hasty warns where probes warm or cool over the record as nothing in a car does:
// the times are in another unit then. Here the file says what its times count; where
// that is assumed, a quarter of the pace is asked about (package pace).
func hasty(t *table.Table, probes []int) {
	for _, i := range probes {
		c := t.Columns[i]
		change, span, ok := numbers.Rise(t.Time, c.Values)
		if !ok && len(t.Time) > 20 {
			change, span, ok = c.Values[len(c.Values)-1]-c.Values[0], t.Time[len(t.Time)-1]-t.Time[0], true
		}
		if !ok || heading.IsExhaust(c.Name) || !(math.Abs(change) > pace.Telling) || math.Abs(change) <= pace.TooFast*span || c.Values[len(c.Values)-1] > pace.Hottest {
			continue
		}
		t.Warnings.Add(account.TimeUnit, t.Name(), fmt.Sprintf("%s changes by %.0f K in %.3g s, which nothing but an exhaust does: see what the times count, and set time_format in the layout", c.Name, change, span))
		return
	}
}
