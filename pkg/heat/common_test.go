package heat

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/internal/ambientlaw"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

// What two predictions from the same drive have in common drops out of their
// difference: probes, mounting, what the drive's own day did. What the outside
// temperature does stays, by the distance between the two, and so do the days
// asked for.
func TestDifferenceOfPredictions(t *testing.T) {
	d, _ := run(t, simulate.OpenFilters(), 290, 3, allRoles...)
	a, _ := analyse(t, d)
	at := func(kelvin float64) estimate.Estimate {
		p, err := a.Predict(Condition{Ambient: quantity.Kelvin(kelvin), Speed: 80 * quantity.KilometrePerHour})
		if err != nil {
			t.Fatal(err)
		}
		e := p.Estimate()
		if u := e.StandardUncertainty(); math.Abs(normal*u-e.Interval.Width()/2) > 1e-6 {
			t.Errorf("at %.0f K: contributions %.3f K, half the interval %.3f K", kelvin, normal*u, e.Interval.Width()/2)
		}
		return e
	}
	change, err := estimate.Difference("change", at(295), at(285))
	if err != nil {
		t.Fatal(err)
	}
	square, slope := 0.0, 10*ambientlaw.Deviation*a.model.rise
	for _, c := range change.Contributions {
		if c.Effect != 0 && (c.Source.Kind == estimate.Probe || c.Source.Kind == estimate.Mounting || c.Source.Kind == estimate.ModelSpread) {
			t.Errorf("%v contributes %.2f K", c.Source, c.Effect)
		}
		square += c.Effect * c.Effect
	}
	// The rise that the prior is a share of is that at 80 km/h.
	want := math.Hypot(slope, math.Sqrt2*dayScatter(80/3.6, 1.3))
	if u := math.Sqrt(square); math.Abs(u-want) > 0.15*want {
		t.Errorf("uncertainty of the change %.2f K, slope and days give %.2f K", u, want)
	}
}

// A drive at 60 to 95 km/h scatters as such drives do; the pull that it predicts
// scatters as pulls do.
func TestDayScatterOfEachSide(t *testing.T) {
	d, _ := run(t, simulate.OpenFilters(), 290, 3, allRoles...)
	a, _ := analyse(t, d)
	p, err := a.Predict(Condition{Ambient: quantity.Kelvin(a.model.ambient), Speed: 100 * quantity.KilometrePerHour, Airflow: 4})
	if err != nil {
		t.Fatal(err)
	}
	var days []float64
	for _, c := range p.Estimate().Contributions {
		if c.Source.Kind == estimate.Scatter && c.Effect != 0 {
			days = append(days, c.Effect)
		}
	}
	own := dayScatter(a.model.reference, a.model.flow*a.model.meanFlow)
	if len(days) != 2 || math.Abs(math.Hypot(days[0], days[1])-math.Hypot(own, 1.9)) > 0.01 || own > 1.3 {
		t.Errorf("scatter %v K, want %.1f and 1.9 K", days, own)
	}
}

// A probe that reads a kelvin high all along moves a prediction by more than a
// kelvin where the load is heavier than the drive's: the prediction says by how
// much, and its probes count so.
func TestProbeErrorGrowsWithLoad(t *testing.T) {
	d, _ := run(t, simulate.OpenFilters(), 290, 3, allRoles...)
	was, _ := analyse(t, d)
	intake := *d.Channels["intake"]
	v := slices.Clone(intake.Series.Value)
	for i := range v {
		v[i]++
	}
	intake.Series = intake.Series.With(intake.Series.Name, intake.Series.Dimension, v)
	d.Channels["intake"] = &intake
	is, _ := analyse(t, d)
	for _, c := range []Condition{
		{Ambient: quantity.Kelvin(290), Speed: 80 * quantity.KilometrePerHour},
		{Ambient: quantity.Kelvin(290), Speed: 80 * quantity.KilometrePerHour, Grade: 0.06},
		{Ambient: quantity.Kelvin(290), Speed: 100 * quantity.KilometrePerHour, Airflow: 4, Held: 10 * time.Second},
	} {
		before, err := was.Predict(c)
		if err != nil {
			t.Fatal(err)
		}
		after, err := is.Predict(c)
		if err != nil {
			t.Fatal(err)
		}
		moved, offset := after.Intake.Kelvin()-before.Intake.Kelvin(), was.model.offset(c.asked())
		if math.Abs(moved/offset-1) > 0.1 {
			t.Errorf("%+v: moved by %.3f K, said %.3f K", c, moved, offset)
		}
		if c.Grade > 0 && offset < 1.1 {
			t.Errorf("on a climb: %.3f K for each kelvin", offset)
		}
		if got, want := before.Estimate().Contributions[0].Effect, was.model.probes[0].Effect*offset; math.Abs(got-want) > 1e-12 {
			t.Errorf("the probe counts with %.3f K, want %.3f K", got, want)
		}
	}
}

// A probe's constant error moves the change between two loads by what the fit takes
// of it for heat, and the change's uncertainty counts that.
func TestChangeCountsTheProbes(t *testing.T) {
	d, _ := run(t, simulate.OpenFilters(), 290, 3, allRoles...)
	was, _ := analyse(t, d)
	from := Condition{Ambient: quantity.Kelvin(290), Speed: 80 * quantity.KilometrePerHour}
	to := Condition{Ambient: quantity.Kelvin(290), Speed: 80 * quantity.KilometrePerHour, Grade: 0.06}
	before, u, err := ChangeBetween(from, to, was)
	if err != nil {
		t.Fatal(err)
	}
	is := was
	is.model.shapes = was.model.higher // as they are a kelvin higher
	after, _, err := ChangeBetween(from, to, is)
	if err != nil {
		t.Fatal(err)
	}
	moved := (after - before).Kelvins()
	if moved < 0.05 {
		t.Errorf("a kelvin moves the change by %.3f K", moved)
	}
	is = was
	is.model.probes = nil
	_, without, err := ChangeBetween(from, to, is)
	if err != nil {
		t.Fatal(err)
	}
	if want := math.Hypot(without.Kelvins(), moved*together(was.model.probes)); math.Abs(u.Kelvins()-want) > 1e-9 {
		t.Errorf("uncertainty %.4f K, without probes %.4f K, with them it should be %.4f K", u.Kelvins(), without.Kelvins(), want)
	}
}
