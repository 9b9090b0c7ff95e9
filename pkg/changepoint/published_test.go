package changepoint

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

func column(t *testing.T, file string, col, skip int) []float64 {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var x []float64
	for i, line := range strings.Split(strings.TrimSpace(string(data)), "\n") {
		if i < skip {
			continue
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(strings.Split(line, ",")[col]), 64)
		if err != nil {
			t.Fatal(err)
		}
		x = append(x, v)
	}
	return x
}

// The annual flow of the Nile at Aswan 1871–1970: one break after 1898, 95 %
// interval 1895–1902 (R package strucchange, whose results are stored in
// testdata with the script; the interval is also in the documentation of
// ggchangepoint).
func TestNileBreak(t *testing.T) {
	nile := column(t, "testdata/nile.csv", 1, 1)
	fits, err := Neighbourhood(nile, Level, 4, 15)
	if err != nil {
		t.Fatal(err)
	}
	best := SelectBIC(fits)
	if len(best.Breaks) != 1 || best.Breaks[0] != 28 {
		t.Fatalf("breaks %v, want [28]: the last year of the old regime is 1898", best.Breaks)
	}
	iv, err := Intervals(nile, best, 0.95, 0)
	if err != nil {
		t.Fatal(err)
	}
	year := func(b float64) float64 { return 1871 + b - 1 }
	if v := iv[0].Interval; year(v.Low) != 1895 || year(v.High) != 1902 || v.Level != 0.95 {
		t.Errorf("interval %v, want 1895–1902", v)
	}
	c := newCost(Level, nile)
	for _, m := range []struct{ got, want float64 }{{c.Mean(0, 28), 1097.75}, {c.Mean(28, 100), 849.97}} {
		if math.Abs(m.got-m.want) > 0.005 {
			t.Errorf("mean %.4f, want %.2f", m.got, m.want)
		}
	}
	p, err := Pelt(nile, Level, Penalty(100, math.Sqrt(16301), 0), 1)
	if err != nil || len(p.Breaks) != 1 || p.Breaks[0] != 28 {
		t.Errorf("PELT breaks %v, %v, want [28]", p.Breaks, err)
	}
}

func TestStrucchange(t *testing.T) {
	data := map[string][]float64{
		"nile": column(t, "testdata/nile.csv", 1, 1),
		"made": column(t, "testdata/made.csv", 0, 0),
	}
	fits := map[string][]Fit{}
	for name, x := range data {
		f, err := Neighbourhood(x, Level, 5, int(0.15*float64(len(x)))) // strucchange's h = 0.15
		if err != nil {
			t.Fatal(err)
		}
		fits[name] = f
	}
	file, err := os.Open("testdata/strucchange.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	intervals := map[string]int{}
	for s := bufio.NewScanner(file); s.Scan(); {
		w := strings.Fields(s.Text())
		num := func(i int) float64 {
			v, err := strconv.ParseFloat(w[i], 64)
			if err != nil {
				t.Fatalf("%q: %v", s.Text(), err)
			}
			return v
		}
		switch {
		case w[0] == "argmax":
			if got := ArgmaxDistribution(num(1), 1, num(2)); math.Abs(got-num(3)) > 1e-11 {
				t.Errorf("ArgmaxDistribution(%v, 1, %v) = %.12f, R gives %s", num(1), num(2), got, w[3])
			}
		case w[0] == "lh":
		case w[1] == "rss":
			f := fits[w[0]][int(num(2))]
			if math.Abs(f.RSS-num(3)) > 1e-6*num(3) || math.Abs(f.BIC()-num(4)) > 1e-5 {
				t.Errorf("%s, %s breaks: RSS %.6f BIC %.6f, R gives %s %s", w[0], w[2], f.RSS, f.BIC(), w[3], w[4])
			}
			for i, b := range f.Breaks {
				if float64(b) != num(5+i) {
					t.Errorf("%s, %s breaks: %v, R gives %v", w[0], w[2], f.Breaks, w[5:])
				}
			}
		case w[1] == "interval":
			iv, err := Intervals(data[w[0]], SelectBIC(fits[w[0]]), 0.95, 0)
			if err != nil {
				t.Fatal(err)
			}
			got := iv[intervals[w[0]]]
			intervals[w[0]]++
			if got.Interval.Low != num(2) || got.Value != num(3) || got.Interval.High != num(4) {
				t.Errorf("%s: interval %v, R gives %v", w[0], got, w[2:])
			}
		}
	}
}
