// Package specificpower has the one law of what driving asks of an engine, for
// the packages below segment too, which publishes it.
package specificpower

// Of is segment.SpecificPower: W for each kilogram of car at speed v (m/s),
// acceleration a (m/s²) and a grade (rise over run).
func Of(v, a, grade float64) float64 {
	return v*(1.1*a+9.81*grade+0.132) + 0.000302*v*v*v
}
