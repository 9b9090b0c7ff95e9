package car

import (
	"fmt"
	"math/rand/v2"
)

// Range is one row of the judge's table: what is drawn, between what, why.
type Range struct {
	Name      string
	Low, High float64
	Unit      string
	Source    string // "judgement" where nothing published was found
	set       func(*Car, *Intake, float64)
}

// Ranges is the one table of the judge's constants, drawn evenly between Low
// and High, each alone. It was fixed before any analysis was changed; see
// CHANGES in the documentation of the package above.
func Ranges() []Range {
	const j = "judgement"
	return []Range{
		{"mass", 780, 1450, "kg", "cars of the sixties and seventies, common practice", func(c *Car, _ *Intake, x float64) { c.MassKg = x }},
		{"drag area", 0.68, 1.0, "m²", "c_d 0.38–0.5 × 1.75–2.1 m², from memory (Hucho)", func(c *Car, _ *Intake, x float64) { c.DragAreaM2 = x }},
		{"rolling resistance", 0.012, 0.018, "1", "Gillespie 1992, car tyres on asphalt, from memory", func(c *Car, _ *Intake, x float64) { c.RollingShare = x }},
		{"driveline efficiency", 0.86, 0.94, "1", j, func(c *Car, _ *Intake, x float64) { c.DrivelineShare = x }},
		{"top gear, at 1000 rpm", 24, 31, "km/h", "common practice", func(c *Car, _ *Intake, x float64) { c.TopGearMPSPerRPM = x / 3600 }},
		{"displacement", 1.2e-3, 2.6e-3, "m³", "common practice", func(c *Car, _ *Intake, x float64) { c.DisplacementM3 = x }},
		{"rated power per litre", 28, 42, "kW/l", "common practice", func(c *Car, _ *Intake, x float64) { c.RatedPowerW = x * 1e6 * c.DisplacementM3 }},
		{"rated speed", 4800, 5800, "rpm", "common practice", func(c *Car, _ *Intake, x float64) { c.RatedRPM = x }},
		{"idle speed", 700, 950, "rpm", "common practice", func(c *Car, _ *Intake, x float64) { c.IdleRPM = x }},
		{"indicated efficiency", 0.33, 0.39, "1", "Heywood 1988 ch. 15, from memory", func(c *Car, _ *Intake, x float64) { c.IndicatedShare = x }},
		{"friction mean pressure", 0.9e5, 1.5e5, "Pa", "Heywood 1988 ch. 13, from memory", func(c *Car, _ *Intake, x float64) { c.FrictionPa = x }},
		{"throttling mean pressure, closed", 0.5e5, 0.8e5, "Pa", "Heywood 1988 ch. 13, from memory", func(c *Car, _ *Intake, x float64) { c.ThrottlingPa = x }},
		{"lambda cruising", 0.94, 1.06, "1", j, func(c *Car, _ *Intake, x float64) { c.LambdaCruise = x }},
		{"lambda at full throttle", 0.80, 0.95, "1", "4.1 of the reference sheet: 0.88 typical, 0.8–0.95 judgement", func(c *Car, _ *Intake, x float64) { c.LambdaFull = x }},
		{"power's exponent of temperature", 0.4, 0.7, "1", "ISO 1585 0.6, DIN 70020 0.5 (second-hand); ±0.1 judgement", func(c *Car, _ *Intake, x float64) { c.PowerTemperatureExponent = x }},
		{"fuel heat to coolant at 40 kW", 0.22, 0.33, "1", "Heywood 1988 table 12.1: 17–26 % at full power, more at part load, from memory", func(c *Car, _ *Intake, x float64) { c.CoolantShare = x }},
		{"its exponent of fuel", 0.75, 0.92, "1", "Taylor & Toong: Re^0.75, from memory", func(c *Car, _ *Intake, x float64) { c.CoolantExponent = x }},
		{"fuel heat to block and oil", 0.03, 0.08, "1", "Heywood 1988 table 12.1, from memory", func(c *Car, _ *Intake, x float64) { c.OilShare = x }},
		{"fuel heat to manifold metal", 0.025, 0.09, "1", j, func(c *Car, _ *Intake, x float64) { c.ManifoldShare = x }},
		{"head and liner metal", 10e3, 20e3, "J/K", "20–40 kg of iron at 500 J/(kg K), judgement", func(c *Car, _ *Intake, x float64) { c.HeadJK = x }},
		{"jacket water", 11e3, 24e3, "J/K", "3–6.5 l, common practice", func(c *Car, _ *Intake, x float64) { c.JacketJK = x }},
		{"block and sump", 35e3, 80e3, "J/K", "70–150 kg, common practice", func(c *Car, _ *Intake, x float64) { c.BlockJK = x }},
		{"exhaust manifold", 3e3, 7e3, "J/K", "6–14 kg, common practice", func(c *Car, _ *Intake, x float64) { c.ManifoldJK = x }},
		{"bonnet and bay sheet", 7e3, 16e3, "J/K", "15–32 kg, judgement", func(c *Car, _ *Intake, x float64) { c.BonnetJK = x }},
		{"air box", 500, 2000, "J/K", "1–4 kg of sheet, judgement", func(c *Car, _ *Intake, x float64) { c.BoxJK = x }},
		{"head to water", 250, 500, "W/K", "metal 30–100 K above the water under load, so that the water rises 5–15 K after switch-off (sheet 8, from memory)", func(c *Car, _ *Intake, x float64) { c.HeadWK = x }},
		{"water to block", 150, 450, "W/K", "0.4 m² of jacket at 400–1,100 W/(m² K), judgement", func(c *Car, _ *Intake, x float64) { c.BlockWK = x }},
		{"pump", 2.2e-4, 4.5e-4, "kg/s per rpm", "0.7–1.4 kg/s at 3000, common practice", func(c *Car, _ *Intake, x float64) { c.PumpKgSPerRPM = x }},
		{"stamp", 74, 90, "°C", "stamps 74–92, from memory", func(c *Car, _ *Intake, x float64) { c.StampC = x }},
		{"valve start against stamp", -2, 2, "K", "workshop limits, sheet 8 and D1", func(c *Car, _ *Intake, x float64) { c.SpreadK = x }},
		{"valve span", 11, 15, "K", "workshop limits, D1", func(c *Car, _ *Intake, x float64) { c.SpanK = x }},
		{"valve hysteresis", 3, 7, "K", "workshop limits, D1 (a bound)", func(c *Car, _ *Intake, x float64) { c.HysteresisK = x }},
		{"wax lag", 6, 22, "s", j, func(c *Car, _ *Intake, x float64) { c.WaxS = x }},
		{"valve leak shut", 0.0002, 0.0015, "1", "jiggle pin: tank at 20–45 °C before opening (sheet 8)", func(c *Car, _ *Intake, x float64) { c.Leak = x }},
		{"valve flow exponent", 1.2, 2, "1", j, func(c *Car, _ *Intake, x float64) { c.FlowExponent = x }},
		{"by-pass share", 0.15, 0.45, "1", j, func(c *Car, _ *Intake, x float64) { c.BypassShare = x }},
		{"upper tank", 0.3, 1.0, "kg", "common practice", func(c *Car, _ *Intake, x float64) { c.UpperKg = x }},
		{"radiator core", 1.2, 2.6, "kg", "water 1–2 kg, metal as water", func(c *Car, _ *Intake, x float64) { c.CoreKg = x }},
		{"lower tank", 0.3, 0.8, "kg", "common practice", func(c *Car, _ *Intake, x float64) { c.LowerKg = x }},
		{"hose", 0.15, 0.4, "kg", "common practice", func(c *Car, _ *Intake, x float64) { c.HoseKg = x }},
		{"radiator at 1 kg/s of air", 750, 1300, "W/K", "NTU about 1, sheet 6.5", func(c *Car, _ *Intake, x float64) { c.RadiatorWK = x }},
		{"ram air through radiator", 0.018, 0.05, "kg/m", "face 0.12–0.2 m², 0.12–0.22 of road speed, judgement", func(c *Car, _ *Intake, x float64) { c.RamKgPerM = x }},
		{"fan", 0.25, 0.55, "kg/s", "at 3000 rpm or electric, judgement", func(c *Car, _ *Intake, x float64) { c.FanKgS = x }},
		{"electric fan on, above stamp", 9, 14, "K", "common practice", func(c *Car, _ *Intake, x float64) { c.FanOnC = c.StampC + x }},
		{"boiling", 108, 122, "°C", "0.3–0.9 bar cap, half glycol, common practice", func(c *Car, _ *Intake, x float64) { c.BoilC = x }},
		{"bay air through radiator", 0.25, 0.85, "1", j, func(c *Car, _ *Intake, x float64) { c.ThroughRadiatorShare = x }},
		{"bay air besides", 0.004, 0.022, "kg/m", j, func(c *Car, _ *Intake, x float64) { c.BayKgPerM = x }},
		{"draught standing", 0.012, 0.035, "kg/s", "buoyancy through a 0.05 m² gap, judgement", func(c *Car, _ *Intake, x float64) { c.DraughtKgS = x }},
		{"block skin", 10, 28, "W/K", "1.2–1.8 m² at 8–14 W/(m² K)", func(c *Car, _ *Intake, x float64) { c.BlockSkinWK = x }},
		{"manifold skin", 1.2, 4.5, "W/K", "0.12–0.3 m² at 10–15 W/(m² K)", func(c *Car, _ *Intake, x float64) { c.ManifoldSkinWK = x }},
		{"manifold radiating", 0.06, 0.2, "m²", "emissivity 0.8, half of it towards the bay", func(c *Car, _ *Intake, x float64) { c.RadiantM2 = x }},
		{"of that on the air box", 0.01, 0.08, "1", j, func(c *Car, _ *Intake, x float64) { c.BoxView = x }},
		{"recirculation standing", 0.1, 0.5, "1", j, func(c *Car, _ *Intake, x float64) { c.RecirculationShare = x }},
		{"heater", 0, 60, "W/K", j, func(c *Car, _ *Intake, x float64) { c.HeaterWK = x }},

		{"intake: air past the radiator", 0, 0.45, "1", "spans the moving rises of D2", func(_ *Car, i *Intake, x float64) { i.RadiatorShare = x }},
		{"intake: air of the bay's front", 0.1, 0.45, "1", "as above", func(_ *Car, i *Intake, x float64) { i.FrontShare = x }},
		{"intake: air of the bay's rear", 0.05, 0.45, "1", "as above", func(_ *Car, i *Intake, x float64) { i.RearShare = x }},
		{"intake: bay air when standing", 0.3, 0.9, "1", j, func(_ *Car, i *Intake, x float64) { i.StandingShare = x }},
		{"intake: pick-up NTU at 20 g/s", 0.02, 0.25, "1", "sheet 6.4: 1.5–6 K in a duct", func(_ *Car, i *Intake, x float64) { i.PickupNTU = x }},
		{"intake: pick-up exponent of flow", -1, -0.2, "1", "Dittus–Boelter to laminar, D3", func(_ *Car, i *Intake, x float64) { i.PickupExponent = x }},
		{"intake: fixed heat", 0, 45, "W", "0 to 2 K at 20 g/s, judgement", func(_ *Car, i *Intake, x float64) { i.FixedHeatW = x }},
		{"intake: box to its air", 2, 8, "W/K", j, func(_ *Car, i *Intake, x float64) { i.BoxWK = x }},
		{"intake: carburettor NTU", 0.005, 0.05, "1", j, func(_ *Car, i *Intake, x float64) { i.CarburettorNTU = x }},
		{"intake: duct loss at 60 g/s", 20, 200, "Pa", "sheet 6.3", func(_ *Car, i *Intake, x float64) { i.DuctLossPa = x }},
	}
}

// Draw draws a car of a variant and its open intake. The law of ambient, the
// mixture, the fan and the by-pass are drawn too where the variant does not
// fix them. It fails when the variant is not one of Variants.
func Draw(variant string, rng *rand.Rand) (*Car, Intake, error) {
	v, ok := find(variant)
	if !ok {
		return nil, Intake{}, fmt.Errorf("car.Draw: variant %q is none of %v", variant, Names())
	}
	c := &Car{Variant: variant}
	in := Intake{Name: "open"}
	for _, r := range Ranges() {
		low, high := r.Low, r.High
		if o, ok := v.Ranges[r.Name]; ok {
			low, high = o[0], o[1]
		}
		r.set(c, &in, low+(high-low)*rng.Float64())
	}
	if all := in.RadiatorShare + in.FrontShare + in.RearShare; all > 0.95 {
		in.RadiatorShare, in.FrontShare, in.RearShare = in.RadiatorShare*0.95/all, in.FrontShare*0.95/all, in.RearShare*0.95/all
	}
	c.Mixture = Mixture(rng.IntN(2))
	c.FanElectric = rng.IntN(2) == 0
	c.Bypass = []Bypass{ClosingBypass, ClosingBypass, FixedBypass, NoBypass}[rng.IntN(4)]
	c.Law = AmbientLaw(rng.IntN(4))
	// Slopes of an unchanged real car over its mean rises (K/K over K).
	c.LawSlopePerK = [3]float64{
		(0.11 + 0.06*rng.NormFloat64()) / 7.7,
		(0.05 + 0.03*rng.NormFloat64()) / 6.8,
		(-0.01 + 0.02*rng.NormFloat64()) / 6.2,
	}
	if v.fix != nil {
		v.fix(c)
	}
	return c, in, nil
}

// DrawDuct draws a cold-air duct for a car that had the open intake in.
func DrawDuct(in Intake, rng *rand.Rand) Intake {
	between := func(low, high float64) float64 { return low + (high-low)*rng.Float64() }
	d := in
	d.Name = "duct"
	keep := between(0.02, 0.2) // of the bay air still drawn: leaks (judgement)
	d.RadiatorShare *= keep
	d.FrontShare *= keep
	d.RearShare *= keep
	d.StandingShare *= between(0.2, 0.9)
	d.DuctLossPa += between(80, 600) // sheet 6.3
	d.PickupNTU *= between(0.5, 1.2)
	return d
}
