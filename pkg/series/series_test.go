package series_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

func mustNew(t *testing.T, times, values []float64) *series.Series {
	t.Helper()
	s, err := series.New("x", series.Temperature, time.Time{}, times, values)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestNewRefusesDisorder(t *testing.T) {
	nan := math.NaN()
	for _, times := range [][]float64{{0, 0}, {1, 0}, {0, nan}, {0, math.Inf(1)}, {0}} {
		if _, err := series.New("x", series.Speed, time.Time{}, times, []float64{1, 2}); !errors.Is(err, series.ErrShape) {
			t.Errorf("times %v: error %v, want ErrShape", times, err)
		}
		if err := (&series.Series{Time: times, Value: []float64{1, 2}}).Check(); !errors.Is(err, series.ErrShape) {
			t.Errorf("times %v, put together by hand: %v", times, err)
		}
	}
}

// A straight line is its own smoothing, whatever the sampling, and its slope
// is its own slope; a gap is never bridged.
func TestLineIsPreserved(t *testing.T) {
	var ts, vs []float64
	for i := range 10000 {
		x := float64(i)*2 + 0.3*math.Sin(float64(i))
		if i >= 5000 {
			x += 600
		}
		ts = append(ts, x)
		v := 300 + 0.01*x
		if i%97 == 0 {
			v = math.NaN()
		}
		vs = append(vs, v)
	}
	s := mustNew(t, ts, vs)
	sm, sl := s.Smooth(30, 10), s.Slope(30, 10)
	for i := range ts {
		if math.IsNaN(vs[i]) {
			if !math.IsNaN(sm.Value[i]) {
				t.Fatalf("sample %d: missing value was invented: %v", i, sm.Value[i])
			}
			continue
		}
		if math.Abs(sm.Value[i]-vs[i]) > 1e-7 || math.Abs(sl.Value[i]-0.01) > 1e-8 {
			t.Fatalf("sample %d: smooth %v slope %v, want %v and 0.01", i, sm.Value[i], sl.Value[i], vs[i])
		}
	}
	gaps := s.Gaps(10)
	if len(gaps) != 1 || gaps[0].Duration() < 600 {
		t.Fatalf("gaps %v, want the one of 600 s", gaps)
	}
	mid := (gaps[0].From + gaps[0].To) / 2
	if v := s.Lookup(mid, 10); !math.IsNaN(v) {
		t.Errorf("Lookup bridged the gap: %v", v)
	}
	if v := s.Lookup(mid, 1000); math.Abs(v-(300+0.01*mid)) > 1e-9 {
		t.Errorf("Lookup with a long limit = %v", v)
	}
}

func TestResampleAgreesWithLookup(t *testing.T) {
	nan := math.NaN()
	s := mustNew(t, []float64{0, 1, 2, 4, 5, 30, 31}, []float64{nan, 1, nan, 4, 6, 7, nan})
	grid := series.Grid(series.Interval{From: -1, To: 35}, 0.5)
	r := s.Resample(grid, 5)
	for i, x := range grid {
		a, b := r.Value[i], s.Lookup(x, 5)
		if a != b && !(math.IsNaN(a) && math.IsNaN(b)) {
			t.Errorf("t=%v: Resample %v, Lookup %v", x, a, b)
		}
	}
	if v := s.Lookup(2.5, 5); v != 2.5 {
		t.Errorf("Lookup over a missing value = %v, want 2.5", v)
	}
}

func TestMeanIsWeightedByTime(t *testing.T) {
	// 0 for 10 s in one step, then 100 samples of 1 within 1 s.
	ts, vs := []float64{0, 10}, []float64{0, 0}
	for i := range 101 {
		ts = append(ts, 10.001+float64(i)*0.01)
		vs = append(vs, 1)
	}
	s := mustNew(t, ts, vs)
	got := s.Mean(s.Interval(), 60)
	want := (0.0005 + 1.0) / 11.001 // trapezoids by hand
	if math.Abs(got-want) > 1e-9 {
		t.Errorf("mean %v, want %v", got, want)
	}
}

// NIST StRD univariate "NumAcc3": y = 1000000.2, then 500 pairs of
// 1000000.1, 1000000.3: certified lag-1 autocorrelation -0.999.
// https://www.itl.nist.gov/div898/strd/univ/numacc3.html
func TestAutocorrelationNumAcc3(t *testing.T) {
	x := []float64{1000000.2}
	for range 500 {
		x = append(x, 1000000.1, 1000000.3)
	}
	if r := series.Autocorrelation(x, 1); math.Abs(r+0.999) > 1e-6 {
		t.Errorf("r1 = %.9f, certified -0.999", r)
	}
}

func TestSubIsADifference(t *testing.T) {
	a := mustNew(t, []float64{0, 1, 2}, []float64{300, 310, 320})
	b := mustNew(t, []float64{0, 2}, []float64{290, 292})
	d, err := series.Sub("rise", a, b, 5)
	if err != nil {
		t.Fatal(err)
	}
	if d.Dimension != series.TemperatureDifference || d.Value[1] != 19 {
		t.Errorf("got %v %v", d.Dimension, d.Value)
	}
}

// R: quantile(c(1,3,4,10), 0.35, type = 7) is 3.05.
func TestQuantileType7(t *testing.T) {
	s := mustNew(t, []float64{0, 1, 2, 3}, []float64{10, 1, 4, 3})
	if q := s.Quantile(s.Interval(), 0.35); math.Abs(q-3.05) > 1e-12 {
		t.Errorf("quantile %v, want 3.05", q)
	}
}

func BenchmarkSmooth(b *testing.B) {
	n := 1_000_000
	ts, vs := make([]float64, n), make([]float64, n)
	for i := range ts {
		ts[i], vs[i] = 2*float64(i), math.Sin(float64(i)/100)
	}
	s, _ := series.New("x", series.Temperature, time.Time{}, ts, vs)
	b.SetBytes(int64(8 * n))
	for b.Loop() {
		s.Smooth(60, 10)
	}
}
