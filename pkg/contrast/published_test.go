package contrast_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/contrast"
	"github.com/bonnetbook/bonnetbook/pkg/internal/published"
)

// printed is what testdata/published.R printed.
const printed = "testdata/published.csv"

func ones(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = 1
	}
	return x
}

// Kenward and Roger by pbkrtest and lme4 to a part in a million, of the estimate
// and its standard error; the last digits are those of lme4's search.
func TestMixedModels(t *testing.T) {
	var sleep, second []float64
	var who []int
	for i, x := range []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2, 1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4} {
		sleep, who = append(sleep, x), append(who, i%10)
		second = append(second, float64(i/10))
	}
	without := func(x []float64, rows ...int) (kept []float64) {
		for i, v := range x {
			skip := false
			for _, r := range rows {
				skip = skip || i == r-1
			}
			if !skip {
				kept = append(kept, v)
			}
		}
		return kept
	}
	var fewer []int
	for i, w := range who {
		if i != 2 && i != 14 && i != 19 {
			fewer = append(fewer, w)
		}
	}
	rail := []float64{55, 53, 54, 26, 37, 32, 78, 91, 85, 92, 100, 96, 49, 51, 50, 80, 85, 83}
	var rails []int
	for i := range rail {
		rails = append(rails, i/3)
	}

	var rise, after, town, fast, ambient []float64
	var drive []int
	for _, row := range [][5]float64{ // drive, after, ambient, class (0 road, 1 town, 2 fast), rise
		{1, 0, 12, 1, 27.1}, {1, 0, 12, 0, 23.0}, {1, 0, 12, 2, 18.4}, {2, 1, 14, 1, 21.2}, {2, 1, 14, 2, 11.8},
		{3, 1, 19, 1, 22.2}, {3, 1, 19, 0, 16.6}, {3, 1, 19, 2, 13.1}, {4, 0, 17, 1, 24.9}, {4, 0, 17, 0, 19.9},
		{5, 0, 21, 0, 22.4}, {5, 0, 21, 2, 17.3}, {6, 1, 22, 1, 22.0}, {6, 1, 22, 0, 17.4}, {6, 1, 22, 2, 14.1},
		{7, 1, 16, 1, 20.4}, {7, 1, 16, 0, 14.7}, {8, 0, 15, 1, 26.7}, {8, 0, 15, 0, 20.6}, {8, 0, 15, 2, 16.8},
	} {
		drive, after, ambient, rise = append(drive, int(row[0])), append(after, row[1]), append(ambient, row[2]-17), append(rise, row[4])
		isTown, isFast := 0.0, 0.0
		switch row[3] {
		case 1:
			isTown = 1
		case 2:
			isFast = 1
		}
		town, fast = append(town, isTown), append(fast, isFast)
	}
	flow := []float64{310, 270, 310, 260, 370, 300, 410, 390, 250, 210, 380, 350, 330, 365, 370, 385, 310, 400, 380, 410, 290, 320, 260, 340, 90, 220}
	var drug, period []float64
	var child []int
	for i := range flow {
		f := float64(1 - i%2)
		if i >= 14 {
			f = float64(i % 2)
		}
		drug, period, child = append(drug, f), append(period, float64(i%2)), append(child, i/2)
	}
	sugar, beets, plots := beets(t)
	for _, c := range []struct {
		name    string
		y       []float64
		columns [][]float64
		group   []int
		column  int
	}{
		{"beets", sugar, beets, plots, len(beets) - 1},
		{"sleep", sleep, [][]float64{ones(20), second}, who, 1},
		{"sleep unbalanced", without(sleep, 3, 15, 20), [][]float64{ones(17), without(second, 3, 15, 20)}, fewer, 1},
		{"rail", rail, [][]float64{ones(18)}, rails, 0},
		{"drives", rise, [][]float64{ones(20), after, town, fast, ambient}, drive, 1},
		{"drives without ambient", rise, [][]float64{ones(20), after, town, fast}, drive, 1},
		{"flow", flow, [][]float64{ones(26), drug, period}, child, 1},
	} {
		want := published.Values(t, printed, c.name)
		m, err := contrast.Mixed(c.y, c.columns, c.group)
		if err != nil {
			t.Fatal(err)
		}
		got := m.Coefficients[c.column]
		relative := func(what string, got, want, part float64) {
			t.Helper()
			near(t, c.name+": "+what, got, want, part*math.Abs(want))
		}
		relative("estimate", got.Delta, want[0], 1e-6)
		relative("standard error", got.StandardError, want[1], 1e-6)
		relative("degrees of freedom", got.DegreesOfFreedom, want[2], 1e-5)
		relative("between", m.Between, want[3], 1e-5)
		relative("within", m.Within, want[4], 1e-5)
	}
	for name, bad := range map[string]struct {
		y       []float64
		columns [][]float64
		group   []int
	}{
		"no group":    {sleep, [][]float64{ones(20)}, nil},
		"twice":       {sleep, [][]float64{ones(20), ones(20)}, who},
		"few rows":    {sleep[:1], [][]float64{ones(1)}, who[:1]},
		"NaN":         {append([]float64{math.NaN()}, sleep[1:]...), [][]float64{ones(20)}, who},
		"column long": {sleep, [][]float64{ones(21)}, who},
	} {
		if _, err := contrast.Mixed(bad.y, bad.columns, bad.group); err == nil {
			t.Errorf("%s was taken", name)
		}
	}
}

// beets returns the sugar of a split-plot trial, its columns (one, blocks, dates
// of sowing, harvest last) and the plot in which each row was harvested.
func beets(t *testing.T) (sugar []float64, columns [][]float64, plots []int) {
	t.Helper()
	block, sow, harvest := published.Values(t, printed, "beets block"), published.Values(t, printed, "beets sow"), published.Values(t, printed, "beets harvest")
	columns = append(columns, ones(len(block)))
	for _, factor := range [][]float64{block, sow} {
		for level := 1.0; slices.Contains(factor, level); level++ {
			column := make([]float64, len(factor))
			for i, v := range factor {
				if v == level {
					column[i] = 1
				}
			}
			columns = append(columns, column)
		}
	}
	for i := range block {
		plots = append(plots, int(2*block[i]+harvest[i]))
	}
	return published.Values(t, printed, "beets values"), append(columns, harvest), plots
}

// The test of the harvest by pbkrtest: F on 1 and 2 degrees of freedom is t².
func TestBeets(t *testing.T) {
	sugar, columns, plots := beets(t)
	m, err := contrast.Mixed(sugar, columns, plots)
	if err != nil {
		t.Fatal(err)
	}
	got, want := m.Coefficients[len(columns)-1], published.Values(t, printed, "beets test")
	near(t, "F", math.Pow(got.Delta/got.StandardError, 2), want[0], 1e-5*want[0])
	near(t, "degrees of freedom", got.DegreesOfFreedom, want[1], 1e-5)
	near(t, "p value", got.PValue, want[2], 1e-6)
}

// Two one-sided tests of R: with its p value as the level, the interval just
// touches the bound.
func TestWithinABound(t *testing.T) {
	g1 := []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2}
	g2 := []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}
	for name, compare := range map[string]func(first, second []float64) (contrast.T, error){"welch": contrast.Welch, "paired": contrast.Paired} {
		d, err := compare(g2, g1)
		if err != nil {
			t.Fatal(err)
		}
		for i, bound := range []float64{2.5, 3} {
			low, _ := d.Interval(1 - 2*published.Values(t, printed, "within by "+name)[i])
			near(t, name, low, -bound, 1e-6)
		}
	}
}

// Random effects by metafor to 1e-8 of the estimate and its standard errors.
func TestPoolAgainstMetafor(t *testing.T) {
	for _, c := range []struct {
		name string
		y, s []float64
	}{
		{"bcg", published.Values(t, printed, "bcg values"), published.Values(t, printed, "bcg deviations")},
		{"eight schools", []float64{28, 8, -3, 7, -1, 1, 18, 12}, []float64{15, 10, 16, 11, 9, 11, 10, 18}},
		{"three drives", []float64{4.2, 6.1, 1.9}, []float64{0.8, 0.7, 0.9}},
		{"four that agree", []float64{3.0, 3.4, 2.8, 3.1}, []float64{0.9, 0.8, 1.0, 0.7}},
		{"two drives", []float64{4.2, 1.9}, []float64{0.8, 0.9}},
	} {
		want := published.Values(t, printed, c.name)
		p, err := contrast.Pool(c.y, c.s)
		if err != nil {
			t.Fatal(err)
		}
		low, high := p.HartungKnapp.Interval(0.95)
		modifiedLow, modifiedHigh := p.Modified.Interval(0.95)
		for i, got := range []float64{p.Usual.Delta, p.Tau, p.Usual.StandardError, p.HartungKnapp.StandardError, p.Modified.StandardError, low, high, modifiedLow, modifiedHigh} {
			near(t, fmt.Sprintf("%s, value %d", c.name, i), got, want[i], 1e-8*math.Max(1, math.Abs(want[i])))
		}
	}
	if _, err := contrast.Pool([]float64{1, 2}, []float64{1, 0}); err == nil {
		t.Error("an uncertainty of 0 was taken")
	}
}
