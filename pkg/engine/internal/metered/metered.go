// Package metered holds what the metering of fuel needs of the air.
package metered

// Air is intake air in SI units. Dry is the density of the dry air in it, which
// carries the oxygen.
type Air struct{ Kelvin, Density, Dry float64 }

// Of is the ideal mixture's, without a check.
func Of(p, kelvin, e float64) Air {
	const dryAir, vapour = 287.05287, 461.5 // J/(kg·K)
	dry := (p - e) / (dryAir * kelvin)
	return Air{kelvin, dry + e/(vapour*kelvin), dry}
}
