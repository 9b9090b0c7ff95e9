package changepoint

// cost answers the residual sum of squares of any regime in constant time
// from running sums. Values are taken about the mean of the sequence and
// indices about the regime's own middle, to keep the digits.
type cost struct {
	model     Model
	y, yy, iy []float64 // sums of y, y², i·y over [0,k)
	centre    float64
}

func newCost(model Model, x []float64) *cost {
	c := &cost{model: model,
		y: make([]float64, len(x)+1), yy: make([]float64, len(x)+1)}
	for i, v := range x {
		c.centre += (v - c.centre) / float64(i+1)
	}
	if model == Line {
		c.iy = make([]float64, len(x)+1)
	}
	for i, v := range x {
		v -= c.centre
		c.y[i+1] = c.y[i] + v
		c.yy[i+1] = c.yy[i] + v*v
		if c.iy != nil {
			c.iy[i+1] = c.iy[i] + float64(i)*v
		}
	}
	return c
}

// rss returns the residual sum of squares of the regime [a, b).
func (c *cost) rss(a, b int) float64 {
	n := float64(b - a)
	sy := c.y[b] - c.y[a]
	r := c.yy[b] - c.yy[a] - sy*sy/n
	if c.model == Line && b-a > 1 {
		mid := (float64(a) + float64(b-1)) / 2
		siy := c.iy[b] - c.iy[a] - mid*sy
		r -= siy * siy / (n * (n*n - 1) / 12)
	}
	return max(r, 0)
}

// mean returns the mean of [a, b).
func (c *cost) mean(a, b int) float64 { return c.centre + (c.y[b]-c.y[a])/float64(b-a) }

func (c *cost) total(breaks []int, n int) float64 {
	sum, from := 0.0, 0
	for _, b := range breaks {
		sum += c.rss(from, b)
		from = b
	}
	return sum + c.rss(from, n)
}
