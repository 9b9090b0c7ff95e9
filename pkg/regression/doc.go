// Package regression is least squares and what correlated errors do to it.
//
// It knows numbers and columns only. [LeastSquares] fits any columns and gives
// coefficients with their covariance; errors that resemble their neighbours
// are taken as independent, counted as the fewer values that they are worth,
// or filtered out ([Options]). [YuleWalker] estimates an autoregression.
//
// Searches that fit thousands of times have faster forms of the same, each
// tested against LeastSquares: [Sums] and [UnevenSums] for levels and lines
// over any stretch of a sequence, [Base] for one more column, [OnTrend] for one
// signal beside a quadratic trend, [NonNegative] for coefficients that must
// not be negative. [LogMeanExp] and [Normalise] turn log-likelihoods into
// weights.
//
// A missing value is NaN: rows that miss one are left out and counted.
package regression
