// Package estimate holds the one shape in which every analysis states a
// number: a value with its unit, its interval and what the interval rests on,
// where its uncertainty comes from, and typed warnings.
//
// An uncertainty is kept as contributions, each by the identity of its
// source: the same probe, the same barometer, the scatter of the same drives.
// Where two estimates are combined, contributions of one source are added
// with their signs before they are squared. What is common to a "before" and
// an "after" so drops out of their difference exactly once, and what is not
// does not.
//
//	kelvin := quantity.KindTemperatureDifference.SI()
//	before, err := estimate.New("rise before", 21.4, kelvin, 0.95, estimate.BetweenDrives, …)
//	after, err := estimate.New("rise after", 6.1, kelvin, 0.95, estimate.BetweenDrives, …)
//	change, err := estimate.Difference("change", after, before)
//
// The package knows quantities and nothing of files, drives or statistics of
// samples. Budgets of a function and Monte Carlo are in package uncertainty.
//
// Terms: "standard uncertainty", "coverage interval" and "contribution" as in
// JCGM 100:2008 (GUM) and JCGM 101:2008.
package estimate
