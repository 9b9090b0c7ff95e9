// Package roadload relates a speed trace to forces and power: road-load
// coefficients from coast-downs, wheel power while driving, time over an
// interval of speed, and what a trace of a given quality can resolve.
//
// The equation of motion throughout is that of SAE J1263 and ISO 10521:
//
//	M_e·dV/dt = F_wheels − (F0 + F1·V + F2·(V + W)²) − M·g·sin θ
//
// with V the road speed, W the headwind, M the mass as driven, M_e the mass
// with the inertia of rotating parts and θ the slope, positive uphill.
//
// It is meant for confirming on the road a gain that was predicted otherwise.
// Most changes of an intake are near or below what such runs can show: call
// [Experiment.Resolve] before the drive, not after it.
//
// Measure on a closed or empty straight road, obey its limits, drive and read
// instruments with two people, and never coast with the steering locked or the
// brakes unassisted. In a car without power brakes and steering leave the
// engine idling and the gearbox in neutral.
package roadload
