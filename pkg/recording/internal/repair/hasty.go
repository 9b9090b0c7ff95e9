package repair

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/numbers"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// A car's air, water and oil warm by much less than quickest over a record, in K/s,
// and stay below hottest; an exhaust warms faster. Here the file says what its times
// count; where that is assumed, a quarter of it is asked about (package detect). A
// record is looked at where a probe changes by more than telling in K. Common
// practice, no source.
const (
	quickest = 2.0
	telling  = 20.0
)

var hottest = quantity.Celsius(150).Kelvin()

// hasty warns where probes warm or cool over the record as nothing in a car does:
// the times are in another unit then.
func hasty(t *table.Table, probes []int) {
	for _, i := range probes {
		c := t.Columns[i]
		change, span, ok := numbers.Rise(t.Time, c.Values)
		if !ok && len(t.Time) > 20 {
			change, span, ok = c.Values[len(c.Values)-1]-c.Values[0], t.Time[len(t.Time)-1]-t.Time[0], true
		}
		if !ok || heading.IsExhaust(c.Name) || !(math.Abs(change) > telling) || math.Abs(change) <= quickest*span || c.Values[len(c.Values)-1] > hottest {
			continue
		}
		t.Warnings.Add(account.TimeUnit, t.Name(), fmt.Sprintf("%s changes by %.0f K in %.3g s, which nothing but an exhaust does: see what the times count, and set time_format in the layout", c.Name, change, span))
		return
	}
}
