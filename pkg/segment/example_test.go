package segment_test

import (
	"fmt"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// A minute at rest, pulling away at 1 m/s², then two minutes at 54 km/h.
func ExampleCycleStatistics() {
	var t, v []float64
	for s := 0.0; s <= 195; s++ {
		t = append(t, s)
		v = append(v, min(15, max(0, s-60)))
	}
	speed, err := series.New("speed", series.Speed, time.Time{}, t, v)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := segment.CycleStatistics(speed)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(c)
	// Output:
	// 195 s, 1.913 km, mean 35.3 km/h, highest 54.0 km/h, idle 31.1 % and 0 stops below 1.0 km/h, RPA 0.059 m/s²
}
