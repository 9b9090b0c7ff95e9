package notebook

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"
)

// A column's plain numbers have the same decimals, four figures for the greatest;
// whole numbers have none, and numbers far apart six figures.
func TestPlainNumbersInAColumn(t *testing.T) {
	for _, c := range []struct {
		column []float64
		want   string
	}{
		{[]float64{0.990919}, "0.9909"},
		{[]float64{0.990919, 12.5, math.NaN()}, "0.99 12.50 NaN"},
		{[]float64{0.43799, 0.5682431, 0}, "0.4380 0.5682 0.0000"},
		{[]float64{3, 400000, -2}, "3 400000 -2"},
		{[]float64{123456.5, 0.00012345}, "123456 0.00012345"},
		{[]float64{-1234.5678, 2.5}, "-1234.57 2.5"},
		{[]float64{467.536, 1.39}, "467.5 1.4"},
		{[]float64{1e-7, 2e-7}, "1e-07 2e-07"},
		{[]float64{math.Inf(1), 1.5}, "+Inf 1.500"},
		{nil, ""},
	} {
		write := sameDecimals(c.column)
		var got []string
		for _, x := range c.column {
			got = append(got, write(x))
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%v: %s, want %s", c.column, s, c.want)
		}
	}
	text := Table([]struct{ Cost, Any any }{{0.990919, "x"}, {12.5, 1.23456}}).Display().Text()
	if got := strings.Fields(text); !slices.Equal(got, []string{"Cost", "Any", "0.99", "x", "12.50", "1.235"}) {
		t.Errorf("as a table: %q", got)
	}
}

// A struct is a table of its fields in a page and Go's own in text; what prints
// itself, and what has nothing to show, is as before.
func TestStructIsATableInAPage(t *testing.T) {
	type result struct {
		Cost  float64
		Rise  degrees
		Name  string
		Parts []int
	}
	for _, v := range []any{result{0.990919, 82, "<duct>", []int{1, 2}}, &result{0.990919, 82, "<duct>", []int{1, 2}}} {
		b := Format(v)
		for _, want := range []string{">Cost<", ">0.9909<", ">Rise<", "82.0 °C", "&lt;duct&gt;", ">Parts<"} {
			if !strings.Contains(b.HTML(), want) {
				t.Errorf("no %q in %s", want, b.HTML())
			}
		}
		if strings.Contains(b.HTML(), "{") || !strings.Contains(b.Text(), "Cost: 0.990919") {
			t.Errorf("page %s\ntext %s", b.HTML(), b.Text())
		}
	}
	for _, v := range []any{time.Second, struct{}{}, struct{ hidden int }{1}, degrees(3), (*result)(nil), 7} {
		if h := Format(v).HTML(); h != "" {
			t.Errorf("%v is a table: %s", v, h)
		}
	}
}
