// Package curves draws curves through points: straight lines, and torque through
// the two rated ones.
package curves

// Straight returns y at x by straight lines between points, constant beyond the
// ends. The xs ascend, the ys are as many, at least one.
func Straight[X ~float64](xs []X, ys []float64, x X) float64 {
	if x <= xs[0] {
		return ys[0]
	}
	for i := 1; i < len(xs); i++ {
		if x <= xs[i] {
			w := float64((x - xs[i-1]) / (xs[i] - xs[i-1]))
			return ys[i-1] + w*(ys[i]-ys[i-1])
		}
	}
	return ys[len(ys)-1]
}

// RatedTorque returns torque at a speed n by the cubic (Hermite) that is level at
// the greatest torque, n0 and t0, and whose power is level at the greatest power,
// n1 and t1; below n0 by a parabola of the same curvature.
func RatedTorque(n, n0, t0, n1, t1 float64) float64 {
	slope := -t1 / n1 * (n1 - n0) // dP/dn = 0 means dT/dn = −T/n
	u := (n - n0) / (n1 - n0)
	if u < 0 {
		curvature := 6*(t1-t0) - 2*slope // second derivative of the cubic at u = 0
		return t0 + min(curvature, 0)/2*u*u
	}
	h00 := (1 + 2*u) * (1 - u) * (1 - u)
	h01 := u * u * (3 - 2*u)
	h11 := u * u * (u - 1)
	return h00*t0 + h01*t1 + h11*slope
}
