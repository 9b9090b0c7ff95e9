package series_test

import (
	"fmt"
	"math"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// A minute of intake air every 10 s, one reading missing.
func intake() *series.Series {
	start := time.Date(2026, 5, 3, 9, 0, 0, 0, time.UTC)
	k := quantity.KindTemperature.Unit("°C").ToSI
	s, err := series.New("intake", series.Temperature, start,
		[]float64{0, 10, 20, 30, 40, 50}, []float64{k(31), k(32), math.NaN(), k(36), k(38), k(39)})
	if err != nil {
		panic(err)
	}
	return s
}

func ExampleNew() {
	fmt.Println(intake())
	_, err := series.New("intake", series.Temperature, time.Time{}, []float64{0, 10, 10}, []float64{304, 305, 306})
	fmt.Println(err)
	// Output:
	// intake (temperature): 6 samples, 5 present, 50 s
	// series "intake": times and values do not form a series: time 2 (10 s) is not after the one before (10 s)
}

// A value between two readings, in the unit that a person reads; none across a
// gap longer than allowed.
func ExampleSeries_Lookup() {
	s := intake()
	shown := s.Dimension.Shown()
	for _, limit := range []float64{30, 15} {
		fmt.Println(quantity.Format(s.Lookup(25, limit), shown, 4))
	}
	// Output:
	// 35 °C
	// unknown
}

// The difference of two temperatures is a temperature difference.
func ExampleSub() {
	s := intake()
	ambient := s.With("ambient", series.Temperature, []float64{290, 290, 290, 290, 291, 291})
	rise, err := series.Sub("rise", s, ambient, 30)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: %.2f %s at the end\n", rise.Dimension, rise.Value[5], rise.Dimension.Symbol())

	speed := s.With("speed", series.Speed, make([]float64, s.Len()))
	_, err = series.Sub("nonsense", s, speed, 30)
	fmt.Println(err)
	// Output:
	// temperature difference: 21.15 K at the end
	// series.Sub: "intake" is a temperature but "speed" is a speed
}

func ExampleSeries_Gaps() {
	for _, gap := range intake().Gaps(15) {
		fmt.Println(gap)
	}
	// Output:
	// [10 s, 30 s)
}
