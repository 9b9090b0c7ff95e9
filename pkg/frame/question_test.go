package frame_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/chart"
	"github.com/bonnetbook/bonnetbook/pkg/frame"
)

// The ten questions of notebook 13 on seven drives, a row each second, with
// the picture or the table: below 200 ms each is wanted.
func BenchmarkQuestions(b *testing.B) {
	drives, err := demo()
	if err != nil {
		b.Fatal(err)
	}
	seventh := *drives[0]
	seventh.Name = "the first once more"
	seven := append(drives[:6:6], &seventh)
	f := frame.Of(seven, frame.DefaultOptions()).Minus("rise", "intake", "ambient")
	one := frame.Of(seven[:1], frame.DefaultOptions())
	show := func(b *testing.B, f *frame.Frame) {
		if f.Err() != nil {
			b.Fatal(f.Err())
		}
		f.Display()
	}
	draw := func(b *testing.B, fig *chart.Figure, err error) {
		if err == nil {
			_, err = fig.PNG()
		}
		if err != nil {
			b.Fatal(err)
		}
	}
	for _, q := range []struct {
		name string
		ask  func(b *testing.B)
	}{
		{"scatter", func(b *testing.B) { g, err := f.Scatter("speed", "rise", "configuration"); draw(b, g, err) }},
		{"minutes", func(b *testing.B) {
			show(b, f.Filter(frame.Above("engine-bay", "50 °C")).Group("drive").Summarise(frame.Sum("duration").In("min")))
		}},
		{"opening", func(b *testing.B) {
			show(b, f.Filter(frame.Between("since opening", "0 s", "5 min")).Group("drive").Summarise(frame.Mean("engine-bay")))
		}},
		{"histogram", func(b *testing.B) { g, err := f.Histogram("rise", "1 K", "configuration"); draw(b, g, err) }},
		{"route", func(b *testing.B) { g, err := one.Map("engine-bay"); draw(b, g, err) }},
		{"overlay", func(b *testing.B) {
			g, err := f.Line("since opening", "engine-bay", "configuration", "drive")
			draw(b, g, err)
		}},
		{"kinds", func(b *testing.B) {
			show(b, f.Group("configuration", "driving").Summarise(frame.Mean("rise"), frame.Sum("duration").In("min")))
		}},
		{"smoothing", func(b *testing.B) {
			g, err := one.Group("drive").Smooth("smoothed", "intake", "since start", "1 min").Lines("since start", "intake", "smoothed")
			draw(b, g, err)
		}},
		{"correlation", func(b *testing.B) { show(b, f.Correlations("speed", "ambient", "engine-bay", "intake")) }},
		{"odd", func(b *testing.B) {
			show(b, f.Group("configuration", "drive").Summarise(frame.Mean("rise")).Group("configuration").Relative("from the median", frame.Median("mean rise")))
		}},
	} {
		b.Run(q.name, func(b *testing.B) {
			for b.Loop() {
				q.ask(b)
			}
		})
	}
}
