package sensor

import (
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func close(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: %.6g, want %.6g within %g", what, got, want, relative)
	}
}

// Worked examples of two textbooks, as their pages or solutions were read:
// Tosun, Modelling in Transport Phenomena, section 7.5: a copper sphere in air,
// Re 4826, Pr 0.712, viscosities 18.41 and 19.11: Nu 40.9. Çengel, Heat
// Transfer, problem 7-40: Re 55,970, Pr 0.7282, viscosities 18.72 and 29.34: Nu
// 145.6. The books have the ratio of viscosities to the power ¼, which is left
// out here.
func TestSphereAgainstTextbooks(t *testing.T) {
	for _, c := range []struct{ re, pr, ratio, printed float64 }{
		{4826, 0.712, 18.41 / 19.11, 40.9}, {5.597e4, 0.7282, 1.872 / 2.934, 145.6},
	} {
		with := 2 + (sphereNusselt(c.re, c.pr)-2)*math.Pow(c.ratio, 0.25)
		close(t, "Nusselt number", with, c.printed, 0.015)
	}
	// A law of another shape, Ranz and Marshall (1952): 2 + 0.6·√Re·∛Pr. Within
	// the 30 % that Whitaker's is given, for the Reynolds numbers of beads.
	for _, re := range []float64{3, 30, 300, 3000} {
		close(t, "Ranz and Marshall", sphereNusselt(re, 0.71), 2+0.6*math.Sqrt(re)*math.Cbrt(0.71), filmUncertainty)
	}
}

// Çengel, Heat Transfer, solutions of problems 12-88 and 12-89 as read: a
// thermocouple reads 850 K between walls of 500 K, emissivity 0.6, h 60
// W/(m²·K): the air is at 1111 K; 530 K, 380 K, 0.7 and 120: 549.2 K. And the
// usual estimate, h_r·(T_wall − T_air)/(h + h_r) with h_r = 4·ε·σ·T³, for walls
// 5 K warmer.
func TestRadiationAgainstTextbook(t *testing.T) {
	close(t, "thermocouple", beadTemperature(1111, 500, 60, 0.6), 850, 0.001)
	close(t, "thermocouple", beadTemperature(549.2, 380, 120, 0.7), 530, 0.001)
	hr := 4 * 0.85 * stefanBoltzmann * math.Pow(325.5, 3)
	close(t, "linearised", beadTemperature(323, 328, 60, 0.85)-323, hr*5/(60+hr), 0.01)
}

// Çengel, Heat Transfer, example 4-1, as an examiner's page works it: a
// junction of 1 mm, 8500 kg/m³, 320 J/(kg·K), h 210 W/(m²·K), shows 99 % after
// 9.96 s. A sensor maker's page: 0.003 s for a butt-welded junction of 0.001 in
// in air of 65 ft/s, which is the sphere's within the bounds.
func TestTimeConstantAgainstPrinted(t *testing.T) {
	close(t, "99 %", math.Log(100)*beadTimeConstant(8500*320, 0.001, 210), 9.96, 0.002)
	const d, speed = 0.001 * float64(quantity.Inch), 65 * float64(quantity.Foot)
	h := 0.0257 / d * sphereNusselt(speed*d/1.51e-5, 0.71) // air of 20 °C
	close(t, "butt-welded", beadTimeConstant(3.9e6, d, h), 0.003, filmUncertainty)
}

// What is known badly is in the bounds: another law for the sphere, a bright
// bead.
func TestBeadHasBounds(t *testing.T) {
	b := Bead{Diameter: quantity.Millimetre}
	r, err := b.InAir(quantity.Celsius(50), 5, quantity.Celsius(250))
	if err != nil {
		t.Fatal(err)
	}
	bright, err := Bead{Diameter: quantity.Millimetre, Emissivity: 0.65}.InAir(quantity.Celsius(50), 5, quantity.Celsius(250))
	if err != nil {
		t.Fatal(err)
	}
	if !r.ErrorBounds.Interval.Contains(bright.Error.Kelvins()) || !r.ErrorBounds.Interval.Contains(r.Error.Kelvins()) {
		t.Errorf("%v, bright %v", r.ErrorBounds, bright.Error)
	}
	if i := r.TimeConstantBounds.Interval; !(i.Low < r.TimeConstant/1.2 && i.High > 1.3*r.TimeConstant) {
		t.Errorf("time constant %v, bounds %v", r.TimeConstant, i)
	}
	if bad, err := b.InAir(quantity.Celsius(-300), 5, quantity.Celsius(50)); err == nil || bad.ErrorBounds.Known() {
		t.Errorf("air of −300 °C: %v, %v", bad.ErrorBounds, err)
	}
}
