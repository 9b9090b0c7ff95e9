// Package duct estimates what an intake duct costs and gains: pressure lost
// by friction and fittings, heat picked up on the way, ram pressure at speed,
// and what is left of it as full-throttle power.
//
// A [Duct] is a list of parts in the order in which the air meets them:
//
//	d := duct.Duct{Parts: []duct.Part{
//		duct.Entry(76*quantity.Millimetre, 0.1),
//		duct.CorrugatedHose(76*quantity.Millimetre, 1*quantity.Metre),
//		duct.Bend(76*quantity.Millimetre, 90*quantity.Degree, 1.5),
//		duct.Filter(60*quantity.LitrePerSecond, 0.4*quantity.Kilopascal),
//	}}
//	flow, err := d.Flow(outside, 60*quantity.LitrePerSecond)
//
// An [Installation] puts a duct on an engine in a bay and compares it with
// what the engine breathes now, at full throttle over engine and road speed;
// idle is reported apart by [Installation.Idle], because heat pick-up is small
// at full throttle and large at idle, and power means nothing there.
//
// The flow is taken as incompressible and quasi-steady. Resonances of the
// intake, which can gain or lose several percent at some speeds, are not
// modelled: a long duct can be better or worse than computed here.
//
// Keep ducts and hoses away from exhaust, fan and linkage, use material that
// stands the heat and petrol vapour, keep the filter and its flame trap, and
// follow local law where the intake is part of a type approval.
package duct
