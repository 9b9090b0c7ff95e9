package dates

import (
	"bytes"
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Order weighs what speaks for each order; open says that nothing
// decides.
func Order(dates []Seen, decimalComma bool) (order layout.DateOrder, reason string, open bool) {
	p := dates[0].Parts
	switch {
	case p.Month > 0:
		return layout.DayMonthYear, "months by name", false
	case p.FirstDigits == 4:
		return layout.YearMonthDay, "", false
	}
	votes := map[layout.DateOrder]int{}
	for _, s := range dates {
		for _, o := range s.Parts.ValidOrders() {
			votes[o]++
		}
	}
	most := max(votes[layout.YearMonthDay], votes[layout.DayMonthYear], votes[layout.MonthDayYear])
	var left []layout.DateOrder
	for _, o := range []layout.DateOrder{layout.YearMonthDay, layout.DayMonthYear, layout.MonthDayYear} {
		if votes[o] == most {
			left = append(left, o)
		}
	}
	if len(left) == 1 {
		for _, s := range dates {
			if v := s.Parts.ValidOrders(); len(v) == 1 && v[0] == left[0] {
				return left[0], fmt.Sprintf("line %d has %s", s.Line, s.Written), false
			}
		}
		return left[0], "the only order in which all dates exist", false
	}
	if o, reason, ok := orderByDays(dates, left); ok {
		return o, reason, false
	}
	if len(left) == 2 && left[0] == layout.YearMonthDay && left[1] == layout.DayMonthYear && decimalComma {
		return layout.DayMonthYear, "decimal comma, and two-digit years come last where that is used", false
	}
	for _, o := range left {
		if o == layout.DayMonthYear && bytes.IndexByte([]byte(dates[0].Written), '.') > 0 && p.LastDigits == 4 {
			return layout.DayMonthYear, "dates with dots are written day first", false
		}
	}
	return "", "", true
}

// orderByDays looks at how the dates follow one another: rows seldom jump by
// weeks, days follow days.
func orderByDays(dates []Seen, left []layout.DateOrder) (layout.DateOrder, string, bool) {
	same := true
	first, _ := dates[0].Days(left[0])
	for _, s := range dates {
		for _, o := range left {
			v, ok := s.Days(o)
			same = same && ok && v == first
		}
	}
	if same {
		return left[len(left)-1], "every order gives the same date", true
	}
	var smooth []layout.DateOrder
	for _, o := range left {
		worst := int64(0)
		for i := 1; i < len(dates); i++ {
			a, okA := dates[i-1].Days(o)
			b, okB := dates[i].Days(o)
			if okA && okB {
				worst = max(worst, b-a, a-b)
			}
		}
		if worst <= 2 {
			smooth = append(smooth, o)
		}
	}
	if len(smooth) != 1 || len(dates) < 2 {
		return "", "", false
	}
	for i := 1; i < len(dates); i++ {
		if dates[i].Written != dates[i-1].Written {
			return smooth[0], fmt.Sprintf("line %d: %s is followed by %s", dates[i].Line, dates[i-1].Written, dates[i].Written), true
		}
	}
	return "", "", false
}
