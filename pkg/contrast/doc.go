// Package contrast estimates by how much two groups of drives differ, when
// there are only a few of each.
//
// # The model
//
// One number a drive (its mean rise in one kind of driving):
//
//	y = a + δ·after + Σ γ·x + m·after + e,   e ~ N(0, s² + τ²)
//
// δ is what is asked for. x are conditions that differed between drives:
// outside temperature, place in the order of drives, speed; each coefficient γ
// has a stated normal prior, so that a condition in which the sides differ
// widens the answer by what is not known of its effect, and one in which they
// do not costs nothing. m is what a refitted or exchanged probe may add to one
// side. s is the drive's own standard uncertainty, τ the scatter between
// drives, which may differ between the two sides. a and δ have flat priors.
//
// # Why a prior on the scatter
//
// Four drives know their scatter to a factor of four (χ², 95 %), two do not
// know it at all. The prior of τ is lognormal, or a half-t distribution (A.
// Gelman, Bayesian Analysis 1 (2006) 515–534); where it lies has to come from
// cars on which nothing was changed, and stands in the answer. A half-t is flat
// below its scale, which is as if one drive fewer had been made: with three
// drives a side whose scatter lies below the scale, intervals of 95 % then hold
// the truth in 98 of 100 cases. A wide lognormal is nearly flat in ln τ, which
// for normal drives that scatter alike is the prior whose intervals hold it in 95
// (D. A. S. Fraser, Biometrika 48 (1961) 261–280; from memory). [Fit] integrates
// over τ and the ratio of the two sides' scatter on a grid; given these the
// posterior of δ is normal. Because s² adds to τ² ≥ 0, an interval is never
// narrower than the drives' own uncertainties allow, which Hartung and Knapp's
// is (C. Röver, G. Knapp, T. Friede, BMC Med. Res. Methodol. 15 (2015) 99).
//
// # What it does not do
//
// It resamples nothing: intervals from resampling three or four drives are too
// narrow. It removes no drive: [Influence] says what the answer would be
// without each, and which one the others did not expect.
package contrast
