package detect

import (
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/numbers"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
)

// sameNames counts the columns that are named as the given one.
func (d *detector) sameNames(n int) int {
	count := 0
	for _, h := range d.Header {
		if strings.TrimSpace(h) == strings.TrimSpace(d.Header[n-1]) {
			count++
		}
	}
	return count
}

// temperatureT reports whether a column named T alone holds a temperature: it
// is not the time, and either several have that name or its numbers do not step
// evenly.
func (d *detector) temperatureT(n int) bool {
	if !heading.IsBareT(d.Header[n-1]) || d.isTimeColumn(n) {
		return false
	}
	e := d.Evidence[n-1]
	return d.sameNames(n) > 1 || !numbers.EvenSteps(e.Values[:e.Head])
}

// letterForAll returns the unit of temperature whose letter is the whole name
// of two columns or more, nil for any other column.
func (d *detector) letterForAll(n int) *unit.Unit {
	h := strings.TrimSpace(d.Header[n-1])
	if len(h) != 1 || !strings.Contains("CFK", h) || d.sameNames(n) < 2 {
		return nil
	}
	u, _ := unit.LookUp(h)
	return u
}
