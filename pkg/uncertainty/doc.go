// Package uncertainty carries standard uncertainties through calculations.
//
// A [Value] is an estimate with its standard uncertainty. [Propagate] carries
// values through any function by the law of propagation of uncertainty;
// [NewBudget] does the same with names, correlations and a table of who
// contributes what; [MonteCarlo] propagates distributions instead, for strong
// curvature or shapes that are not normal.
//
//	t := uncertainty.Value{X: 330.15, U: 0.8}
//	rho, err := uncertainty.Propagate(func(x []float64) float64 {
//		return 101325 / (287.05287 * x[0])
//	}, t)
//
// Sources: JCGM 100:2008 (GUM) and JCGM 101:2008 (its Supplement 1). Section
// and equation numbers in this package are theirs.
//
// Uncertainties are standard uncertainties (one standard deviation) unless a
// name says otherwise. Values are plain numbers in one unit that the caller
// knows; a temperature and a temperature difference have the same standard
// uncertainty.
package uncertainty
