package main

import (
	"flag"
	"io"
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// A difference of 9 °F is one of 5 K (NIST SP 811, B.8); a plain number is in
// the reader's unit.
func TestDifferenceFlag(t *testing.T) {
	fahrenheit := quantity.Preferred{Difference: quantity.KindTemperatureDifference.Unit("°F")}
	for _, c := range []struct {
		text  string
		units quantity.Preferred
		want  float64 // K; NaN: refused
	}{
		{"5", quantity.Preferred{}, 5}, {"9", fahrenheit, 5}, {"9F", quantity.Preferred{}, 5}, {"9 °F", fahrenheit, 5},
		{"9 degF", quantity.Preferred{}, 5}, {"5K", fahrenheit, 5}, {"5 °C", fahrenheit, 5}, {" 2.5 K ", fahrenheit, 2.5},
		{"0", fahrenheit, math.NaN()}, {"-3K", fahrenheit, math.NaN()}, {"3 km", fahrenheit, math.NaN()}, {"", fahrenheit, math.NaN()}, {"NaN", fahrenheit, math.NaN()},
	} {
		f := flag.NewFlagSet("verdict", flag.ContinueOnError)
		f.SetOutput(io.Discard)
		d := differenceFlag(f, "delta", "")
		err := f.Parse([]string{"-delta", c.text})
		if math.IsNaN(c.want) {
			if err == nil {
				t.Errorf("%q is taken as %v", c.text, d.in(c.units))
			}
			continue
		}
		if got := d.in(c.units).Kelvins(); err != nil || math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%q: %v K, error %v; want %v K", c.text, got, err, c.want)
		}
	}
}

// A shell leaves the ~ behind an equals sign as it is.
func TestPathFlagKnowsTheHomeFolder(t *testing.T) {
	home := t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("USERPROFILE", home)
	f := flag.NewFlagSet("draft", flag.ContinueOnError)
	path := addPath(f, "answers", "")
	if err := f.Parse([]string{"-answers=~/answers.txt"}); err != nil || *path == "~/answers.txt" || len(*path) <= len("~/answers.txt") {
		t.Errorf("%q, error %v", *path, err)
	}
}
