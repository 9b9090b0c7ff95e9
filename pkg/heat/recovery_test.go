package heat

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/simulate"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// run simulates the demo's road with a known truth; the logger's noise and
// resolution are those of the demo.
func run(t testing.TB, in simulate.Intake, ambient float64, seed uint64, roles ...drive.Role) (*drive.Drive, *simulate.History) {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 5))
	h := simulate.Run(simulate.DemoCar(), in, simulate.Drive(simulate.ValleyRoad(), 1, random), simulate.Conditions{Ambient: ambient, Drift: 0.5})
	truth := map[drive.Role][]float64{drive.Ambient: h.Ambient, drive.Intake: h.Intake, drive.EngineBay: h.Bay, drive.TopTank: h.TopTank,
		drive.RadiatorAir: h.RadiatorAir, drive.Speed: h.Speed}
	start := time.Date(2026, 6, 1, 9, 0, 0, 0, time.UTC)
	d := &drive.Drive{Name: in.Name, Start: start, Channels: map[drive.Role]*drive.Channel{}}
	logger := simulate.Logger{Period: 2, Resolution: 0.1, Noise: 0.07}
	for _, role := range roles {
		var at, v []float64
		if role == drive.Speed {
			for i := range h.Speed {
				at, v = append(at, float64(i)), append(v, h.Speed[i])
			}
		} else {
			x := simulate.Probe{Lag: 5, LagMoving: 2.5}.Read(truth[role], h.Metal, h.Speed)
			for _, row := range logger.Rows(start, [][]float64{x}, random) {
				at, v = append(at, row.Clock.Sub(start).Seconds()), append(v, row.Values[0])
			}
		}
		dim, _ := role.Dimension()
		s, err := series.New(string(role), dim, start, at, v)
		if err != nil {
			t.Fatal(err)
		}
		d.Channels[role] = &drive.Channel{Role: role, Series: s}
	}
	return d, h
}

var allRoles = []drive.Role{drive.Ambient, drive.Intake, drive.EngineBay, drive.TopTank, drive.RadiatorAir, drive.Speed}

func analyse(t testing.TB, d *drive.Drive) (Analysis, []segment.Segment) {
	t.Helper()
	opening, err := thermostat.Find(d)
	if err != nil {
		t.Fatal(err)
	}
	segs, err := segment.SplitAfter(d, opening, segment.DefaultRules())
	if err != nil {
		t.Fatal(err)
	}
	a, err := Analyse(d, opening, segs)
	if err != nil {
		t.Fatal(err)
	}
	return a, segs
}

// A simulation knows what no measurement does: the bay without its radiator.
func TestRadiatorPartOfSimulatedDrive(t *testing.T) {
	d, h := run(t, simulate.OpenFilters(), 293.15, 1, allRoles...)
	a, segs := analyse(t, d)
	t.Log(a)
	for _, e := range []Estimate{a.RiseBefore, a.RiseAfter, a.FromRadiator, a.Effectiveness, a.MixingFraction} {
		if !e.Known() || !(e.Interval.Low < e.Value && e.Value < e.Interval.High) {
			t.Errorf("%v", e)
		}
	}
	ratio, n := 0.0, 0.0
	for i := range h.Speed {
		if float64(i) > h.Opening+120 && h.Speed[i] > 3 {
			ratio += (h.RadiatorAir[i] - h.Ambient[i]) / (h.TopTank[i] - h.Ambient[i])
			n++
		}
	}
	if truth := ratio / n; math.Abs(a.Effectiveness.Value-truth) > 0.05 {
		t.Errorf("effectiveness %.3f, the model's own is %.3f", a.Effectiveness.Value, truth)
	}
	i := int(h.Opening)
	if truth := h.Intake[i] - h.Ambient[i]; truth < a.RiseBefore.Interval.Low || truth > a.RiseBefore.Interval.High {
		t.Errorf("%v, truth %.2f K", a.RiseBefore, truth)
	}
	truth := radiatorTruth(h, simulate.OpenFilters(), segs, 73/3.6)
	if truth < a.FromRadiator.Interval.Low || truth > a.FromRadiator.Interval.High {
		t.Errorf("%v, truth %.2f K", a.FromRadiator, truth)
	}
}

// radiatorTruth is what the radiator adds to the intake in settled driving
// near the given speed: the difference to the same bay, same block and
// exhaust, with the radiator as cold as the outside air. The bay's balance is
// integrated once more for that.
func radiatorTruth(h *simulate.History, in simulate.Intake, segs []segment.Segment, speed float64) float64 {
	car := simulate.DemoCar()
	i := int(h.Opening)
	bay := h.Bay[i]
	var part, k float64
	for j := i; j < h.Len(); j++ {
		v, air := h.Speed[j], car.FanAirCapacity+car.RamAirCapacity*h.Speed[j]
		flow := car.RadiatorToBay*air + car.BayVent + car.BayVentPerSpeed*v
		gain := car.BlockToBay + car.MetalToBay + car.TopTankToBay + flow
		target := (car.BlockToBay*h.Coolant[j] + car.MetalToBay*h.Metal[j] + car.TopTankToBay*h.TopTank[i] + flow*h.Ambient[j]) / gain
		bay += (target - bay) * -math.Expm1(-gain/car.BayCapacity)
		share := math.Max(in.BayShare/5, in.BayShare-in.BayShareFade*v)
		for _, s := range segs {
			if s.Settled && s.Interval.Contains(float64(j)) && math.Abs(s.MeanSpeed.MetresPerSecond()-speed) < 3 {
				part += h.Intake[j] - h.Ambient[j] - share*(bay-h.Ambient[j])
				k++
			}
		}
	}
	return part / k
}

// A prediction for another day must hold the truth of the twin drive on that
// day, in steady driving.
func TestPredictAnotherDay(t *testing.T) {
	for _, in := range []simulate.Intake{simulate.OpenFilters(), simulate.ColdAirDuct()} {
		cool, _ := run(t, in, 290.15, 2, allRoles...)
		a, _ := analyse(t, cool)
		_, h := run(t, in, 304.15, 2, allRoles...)
		var truth, n, speed float64
		for i := range h.Speed {
			if i > 950 && i < 1080 { // the steady stretch along the valley
				truth += h.Intake[i]
				speed += h.Speed[i]
				n++
			}
		}
		p, err := a.Predict(Condition{Ambient: quantity.Kelvin(304.3), Speed: quantity.Speed(speed / n)})
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: %v; truth %.1f °C", in.Name, p, truth/n-273.15)
		if truth/n < p.Low.Kelvin() || truth/n > p.High.Kelvin() {
			t.Errorf("%s: %v does not hold the truth %.1f °C", in.Name, p, truth/n-273.15)
		}
		if !estimate.Has(p.Warnings, estimate.OutsideRange) {
			t.Error("another day's ambient is not called an extrapolation")
		}
		full, err := a.Predict(Condition{Ambient: quantity.Kelvin(290.15), Speed: 80 * quantity.KilometrePerHour, Airflow: 4})
		if err != nil {
			t.Fatal(err)
		}
		part, err := a.Predict(Condition{Ambient: quantity.Kelvin(290.15), Speed: 80 * quantity.KilometrePerHour, Airflow: 1})
		if err != nil {
			t.Fatal(err)
		}
		if full.PickedUp >= part.PickedUp || math.Abs(float64(full.Carried-part.Carried)) > 1e-9 {
			t.Errorf("four times the air: picked up %v, before %v", full.PickedUp, part.PickedUp)
		}
	}
}

func TestNotIdentifiableSaysWhy(t *testing.T) {
	d, _ := run(t, simulate.OpenFilters(), 293.15, 3, drive.Ambient, drive.Intake, drive.TopTank, drive.Speed)
	a, _ := analyse(t, d)
	for _, e := range []Estimate{a.Effectiveness, a.MixingFraction} {
		if e.Known() || e.Missing == "" || !math.IsNaN(e.Value) {
			t.Errorf("without a probe behind the radiator: %v", e)
		}
	}
	if !a.RadiatorShare.Known() {
		t.Errorf("top tank and intake give the product: %v", a.RadiatorShare)
	}
	if _, err := a.Predict(Condition{Ambient: quantity.Celsius(500), Speed: 10}); !errors.Is(err, ErrOutOfRange) {
		t.Errorf("ambient 500 °C: %v", err)
	}
	if _, err := Analyse(&drive.Drive{}, thermostat.Result{}, nil); err == nil {
		t.Error("a drive without channels was analysed")
	}
	// A drive that ends before the opening says so.
	short := &drive.Drive{Name: "short", Start: d.Start, Channels: map[drive.Role]*drive.Channel{}}
	for r, c := range d.Channels {
		short.Channels[r] = &drive.Channel{Role: r, Series: c.Series.Slice(series.Interval{From: 0, To: 400})}
	}
	b, _ := analyse(t, short)
	if b.FromRadiator.Known() || b.FromRadiator.Missing == "" {
		t.Errorf("never opened: %v", b.FromRadiator)
	}
	if _, err := b.Predict(Condition{Ambient: quantity.Celsius(20), Speed: 10}); !errors.Is(err, ErrNoModel) {
		t.Errorf("prediction from a warm-up: %v", err)
	}
}

// A first-order step of known time constant.
func TestRelaxRecoversTimeConstant(t *testing.T) {
	random := rand.New(rand.NewPCG(6, 6))
	var at, y []float64
	for i := range 200 {
		at = append(at, 2*float64(i))
		y = append(y, 10-12*math.Expm1(-at[i]/70)+0.1*random.NormFloat64())
	}
	p, _ := relax(&series.Series{Time: at, Value: y})
	e := p.estimate(subject{"made up", "τ"}, 1)
	if !e.Known() || e.Interval.Low > 70 || e.Interval.High < 70 || e.Interval.High/e.Interval.Low > 1.6 {
		t.Errorf("%v, truth 70 s", e)
	}
}

func BenchmarkAnalyse(b *testing.B) {
	d, _ := run(b, simulate.OpenFilters(), 293.15, 1, allRoles...)
	opening, _ := thermostat.Find(d)
	segs, _ := segment.SplitAfter(d, opening, segment.DefaultRules())
	for b.Loop() {
		if _, err := Analyse(d, opening, segs); err != nil {
			b.Fatal(err)
		}
	}
}

// The scatter of two drives is two sources, that of one drive one: their
// difference is less sure than either, a difference from itself is certain.
func TestSourcesNameTheDrive(t *testing.T) {
	f, ok := regress([]float64{4, 5, 4, 5, 4, 5, 4, 5.5}, constant(8))
	if !ok {
		t.Fatal("no fit")
	}
	x := []float64{1}
	a, b := subject{"first", nameAfter}.fitted(f, kelvin, x, 8), subject{"second", nameAfter}.fitted(f, kelvin, x, 8)
	change, err := estimate.Difference("change", a, b)
	if err != nil || !(change.StandardUncertainty() > 1.4*a.StandardUncertainty()) {
		t.Errorf("%v, %v", change, err)
	}
	none, err := estimate.Difference("none", a, a)
	if err != nil || none.Value != 0 || len(none.Contributions) != 0 {
		t.Errorf("%v, %v", none, err)
	}
	// Contributions and interval tell the same.
	if again := a.AtLevel(0.95); math.Abs(again.Width()-a.Interval.Width()) > 1e-12 {
		t.Errorf("%v, want %v", again, a.Interval)
	}
}
