package main

import (
	"fmt"
	"io"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
)

// table writes what the variants are like: n cars of each with a drive from
// cold on a mixed road at a scatter of 1.2 K, as 5, 50 and 95 % points.
func table(w io.Writer, n int, seed uint64) error {
	fmt.Fprintf(w, "What the variants are like: 5, 50 and 95 %% points over %d cars of each, seeds from %d on.\n", n, seed)
	fmt.Fprintf(w, "Repeat: go run ./pkg/internal/judge/write -kind table -n %d -seed %d\n\n", n, seed)
	fmt.Fprintf(w, "%-16s %7s %-17s %-17s %-17s %-17s %-17s %-17s\n", "variant", "opened", "first flow, s", "tank 1 K after, s",
		"half way after, s", "soak, K", "rise 60-95, K", "radiator's share")
	for _, v := range append(car.Variants(), car.Faults()...) {
		var col [6][]float64
		opened := 0
		for i := range n {
			c, err := judge.Make(judge.Plan{Seed: seed + uint64(i), Before: 1, Variant: v.Name, ScatterK: 1.2})
			if err != nil {
				return err
			}
			d := c.Drives[0]
			t, rise := d.Trace, car.Means(d.Trace)[car.RoadMiddle]
			if t.Outcome == car.Opened {
				opened++
			}
			radiator := c.Parts(d)["radiator"][car.RoadMiddle]
			for k, x := range []float64{t.FirstFlowS, t.TankRiseS - t.FirstFlowS, t.TankMidS - t.FirstFlowS, t.SoakRiseK, rise, radiator / rise} {
				if !math.IsNaN(x) {
					col[k] = append(col[k], x)
				}
			}
		}
		fmt.Fprintf(w, "%-16s %3d/%-3d", v.Name, opened, n)
		for k, x := range col {
			digits := 1
			if k == 0 {
				digits = 0
			}
			if k == 5 {
				digits = 2
			}
			fmt.Fprintf(w, " %-17s", points(x, digits))
		}
		fmt.Fprintln(w)
	}
	return nil
}

func points(x []float64, digits int) string {
	if len(x) == 0 {
		return "-"
	}
	slices.Sort(x)
	at := func(p float64) float64 { return x[int(p*float64(len(x)-1)+0.5)] }
	return fmt.Sprintf("%.*f %.*f %.*f", digits, at(0.05), digits, at(0.5), digits, at(0.95))
}
