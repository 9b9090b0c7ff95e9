package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"time"

	"gonum.org/v1/gonum/stat/distuv"
)

// kinds are the kernels of a round; the last is there for the noise. A bare
// process is asked beside them.
var kinds = []string{"alone", "supervised", "alone"}

// cases are how the front end behaves: as a person, who looks at the answer
// before sending the next cell, and as "run all", which does not.
var cases = []struct {
	name  string
	pause time.Duration
	code  string
}{
	{"1+1, after a pause of 20 ms", 20 * time.Millisecond, "1+1"},
	{"1+1, at once", 0, "1+1"},
	{"10 printed lines, after a pause of 20 ms", 20 * time.Millisecond, "for i := range 10 { fmt.Println(i) }"},
}

// measure returns a table of medians and of differences between them.
func measure(rounds, trips int) (string, error) {
	dir, err := os.MkdirTemp("", "supervised")
	if err != nil {
		return "", err
	}
	defer os.RemoveAll(dir)
	medians := make([][4][]float64, len(cases))
	for range rounds {
		if err := round(dir, trips, medians); err != nil {
			return "", err
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Median round trips of %d rounds of %d, in ms; the difference and its 95 %% interval over rounds (Student's t);\n", rounds, trips)
	fmt.Fprintf(&b, "noise is the same for two kernels without a supervisor; crossings is a message of the same size there and back,\n")
	fmt.Fprintf(&b, "to a process that only sends it back: one after the other, a cell's round trip has these two and no more.\n\n")
	fmt.Fprintf(&b, "%-42s %8s %11s %24s %10s %24s %8s\n", "", "alone", "supervised", "difference", "crossings", "noise", "sd")
	for i, c := range cases {
		m := medians[i]
		var diff, noise []float64
		for r := range rounds {
			diff = append(diff, m[1][r]-(m[0][r]+m[2][r])/2)
			noise = append(noise, m[2][r]-m[0][r])
		}
		alone, _ := meanInterval(slices.Concat(m[0], m[2]))
		with, _ := meanInterval(m[1])
		d, dw := meanInterval(diff)
		n, nw := meanInterval(noise)
		way, _ := meanInterval(m[3])
		fmt.Fprintf(&b, "%-42s %8.3f %11.3f %9.3f [%6.3f %6.3f] %9.3f %9.3f [%6.3f %6.3f] %7.3f\n", c.name, alone, with, d, d-dw, d+dw, way, n, n-nw, n+nw, deviation(noise))
	}
	return b.String(), nil
}

// round appends the medians of fresh kernels.
func round(dir string, trips int, medians [][4][]float64) error {
	var fronts [3]*front
	for i, how := range kinds {
		f, err := start(how, dir)
		if err != nil {
			return err
		}
		defer f.close()
		fronts[i] = f
		for range 30 {
			if _, err := f.trip("import \"fmt\"\nfmt.Println(1)\n1+1"); err != nil {
				return err
			}
		}
	}
	way, err := startBare()
	if err != nil {
		return err
	}
	defer way.close()
	for i, c := range cases {
		var took [4][]float64
		for range trips {
			for _, k := range rand.Perm(4) {
				trip := way.trip
				if k < len(fronts) {
					trip = fronts[k].trip
				}
				time.Sleep(c.pause)
				d, err := trip(c.code)
				if err != nil {
					return err
				}
				took[k] = append(took[k], d.Seconds()*1e3)
			}
		}
		for k := range took {
			slices.Sort(took[k])
			medians[i][k] = append(medians[i][k], took[k][len(took[k])/2])
		}
	}
	return nil
}

func mean(x []float64) (m float64) {
	for _, v := range x {
		m += v / float64(len(x))
	}
	return m
}

func deviation(x []float64) float64 {
	m, s := mean(x), 0.0
	for _, v := range x {
		s += (v - m) * (v - m)
	}
	return math.Sqrt(s / float64(len(x)-1))
}

// meanInterval returns a mean and half the width of its 95 % interval.
func meanInterval(x []float64) (m, half float64) {
	if len(x) < 2 {
		return mean(x), math.Inf(1)
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(len(x) - 1)}.Quantile(0.975)
	return mean(x), t * deviation(x) / math.Sqrt(float64(len(x)))
}
