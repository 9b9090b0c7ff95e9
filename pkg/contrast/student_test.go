package contrast_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/contrast"
)

// R data set sleep (Student 1908), extra hours of sleep, groups 1 and 2.
// t.test(extra ~ group): t = -1.8608, df = 17.776, p = 0.07939, 95 percent
// interval -3.3654832 to 0.2054832 for group 1 minus group 2; 90 percent
// -3.0533815 to -0.1066185. Paired: difference -1.58, standard error
// 0.38895872, df = 9, p = 0.0028328901; 90 percent -2.2930053 to -0.8669947.
func TestSleep(t *testing.T) {
	g1 := []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2}
	g2 := []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}
	w, err := contrast.Welch(g2, g1)
	if err != nil {
		t.Fatal(err)
	}
	low, high := w.Interval(0.95)
	near(t, "lower end", low, -3.3654832, 5e-7)
	near(t, "upper end", high, 0.2054832, 5e-7)
	low, high = w.Interval(0.9)
	near(t, "lower end, 90 %", low, -3.0533815, 5e-7)
	near(t, "upper end, 90 %", high, -0.1066185, 5e-7)
	near(t, "degrees of freedom", w.DegreesOfFreedom, 17.776, 5e-4)
	near(t, "p value", w.PValue, 0.07939, 5e-6)
	p, err := contrast.Paired(g2, g1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "paired difference", p.Delta, -1.58, 1e-12)
	near(t, "paired standard error", p.StandardError, 0.38895872, 5e-9)
	near(t, "paired p value", p.PValue, 0.0028328901, 5e-10)
	low, high = p.Interval(0.9)
	near(t, "paired lower end", low, -2.2930053, 5e-7)
	near(t, "paired upper end", high, -0.8669947, 5e-7)
	if _, err := contrast.Welch(g1[:1], g2); err == nil {
		t.Error("one value was taken for a group")
	}
}
