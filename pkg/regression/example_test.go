package regression_test

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// A logger's reading follows a reference thermometer: what is its slope, and
// what will it read at 50 °C? Neighbouring readings resemble each other, so
// the sixteen may count as fewer.
func ExampleLeastSquares() {
	reference := []float64{10, 14, 18, 22, 26, 30, 34, 38, 42, 46, 50, 54, 58, 62, 66, 70}
	reading := []float64{10.9, 14.9, 18.8, 22.9, 26.8, 30.7, 35.0, 39.1, 43.1, 46.9, 50.8, 54.9, 59.2, 63.2, 67.0, 71.2}

	opts := regression.DefaultOptions()
	opts.Noise = regression.EffectiveSize
	fit, err := regression.LeastSquares(reading, [][]float64{regression.Ones(16), reference}, opts)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("slope %.4f ± %.4f\n", fit.Coefficients[1], fit.StandardError(1))
	fmt.Printf("worth %.1f independent readings of 16\n", fit.EffectiveRows)
	low, high := fit.Prediction([]float64{1, 50}, 0.95)
	fmt.Printf("at 50 °C a reading lies between %.1f and %.1f °C\n", low, high)
	// Output:
	// slope 1.0051 ± 0.0025
	// worth 8.1 independent readings of 16
	// at 50 °C a reading lies between 50.7 and 51.4 °C
}

func ExampleYuleWalker() {
	// Levels rise and fall in runs, as a temperature does.
	x := []float64{5, 6, 7, 7, 6, 5, 4, 4, 5, 6, 7, 8, 7, 6, 5, 5, 4, 3, 4, 5, 6, 6, 7, 7, 6, 5, 5, 4, 4, 5}
	a := regression.YuleWalker(x, 2)
	fmt.Printf("%.2f, explains %.0f %% of the variance\n", a.Coefficients, 100*(1-a.Innovation/a.Variance))
	// Output:
	// [1.23 -0.66], explains 75 % of the variance
}
