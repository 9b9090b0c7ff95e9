package sensor_test

import (
	"errors"
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/internal/published"
	. "github.com/bonnetbook/bonnetbook/pkg/sensor"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// SciPy's curve_fit of the same law (testdata/lag.py): the time constants agree
// within half a step of ours, which goes through time constants by 3 %, and the
// interval holds SciPy's.
func TestPlungeAgainstSciPy(t *testing.T) {
	for _, r := range published.Table(t, "testdata/lag_plunge.csv", 8) {
		s := &series.Series{Name: "probe", Dimension: series.Temperature}
		for i, k := range r[3:] {
			s.Time, s.Value = append(s.Time, float64(i)), append(s.Value, k)
		}
		got, err := FitPlunge(s, s.Interval())
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.TimeConstant/r[1]-1) > 0.016 || !got.Interval.Contains(r[1]) {
			t.Errorf("τ %v: %v, SciPy %.3f ± %.3f", r[0], got, r[1], r[2])
		}
	}
}

// Savitzky and Golay's coefficients by SciPy: the noise of a straight line's
// value plus τ times its slope.
func TestNoiseGainAgainstSciPy(t *testing.T) {
	for _, r := range published.Table(t, "testdata/lag_gain.csv", 8) {
		if got := NoiseGain(r[0], r[1], r[2]); math.Abs(got/r[3]-1) > 1e-9 {
			t.Errorf("%v: %v", r, got)
		}
	}
}

// A probe of 4 s in air that changes, solved by SciPy's lsim: without the
// correction it is off by up to 1.7 K, with it by the width's smoothing alone,
// 0.1 K.
func TestLagAgainstSciPy(t *testing.T) {
	s := &series.Series{Name: "probe", Dimension: series.Temperature}
	var air []float64
	for _, r := range published.Table(t, "testdata/lag_answer.csv", 8) {
		s.Time, air, s.Value = append(s.Time, r[0]), append(air, r[1]), append(s.Value, r[2])
	}
	fixed, _, err := CorrectLag(s, 4, DefaultLagOptions())
	if err != nil {
		t.Fatal(err)
	}
	before, after := 0.0, 0.0
	for i := 20; i < len(air)-5; i++ {
		before = math.Max(before, math.Abs(s.Value[i]-air[i]))
		after = math.Max(after, math.Abs(fixed.Value[i]-air[i]))
	}
	if before < 1.5 || after > 0.1 {
		t.Errorf("off by %.2f K before and %.2f K after", before, after)
	}
}

// Options and times that can't be are refused; zero takes the usual one.
func TestCorrectLagRefusesNonsense(t *testing.T) {
	s := &series.Series{Name: "intake", Dimension: series.Temperature, Time: []float64{0, 1, 2, 3, 4, 5}, Value: []float64{300, 301, 302, 303, 304, 305}}
	for _, bad := range []float64{math.NaN(), math.Inf(1), -1} {
		for _, o := range []LagOptions{{Width: bad}, {MaxRatio: bad}, {MaxGap: bad}} {
			if _, c, err := CorrectLag(s, 3, o); !errors.Is(err, ErrOutOfRange) {
				t.Errorf("%+v: %v, %v", o, c, err)
			}
		}
	}
	if _, _, err := CorrectLag(s, 3, LagOptions{}); err != nil {
		t.Errorf("usual options: %v", err)
	}
	s.Time[2] = math.NaN()
	if _, c, err := CorrectLag(s, 3, LagOptions{}); !errors.Is(err, series.ErrShape) {
		t.Errorf("a time of NaN: %v, %v", c, err)
	}
}
