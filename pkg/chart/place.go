package chart

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// stretch is how long a piece of road is over which readings are averaged.
const stretch = 200.0 // m

// ByPlace draws two drives on the road of the first: how far the intake lies
// above ambient at the same place, mean over each 200 m, and below it the second
// less the first. The title says on how much of the common road the second was
// cooler.
//
// It fails where a drive has no positions, no intake or no ambient channel, and
// where the second took another road; see [drive.Drive.Along].
func ByPlace(first, second *drive.Drive) (*Figure, error) {
	reads := readingOf(first.Units, quantity.KindTemperatureDifference)
	p, q := reads.panel("above ambient", 1.3), reads.panel("the second less the first", 0.8)
	p.ZeroLine, q.ZeroLine = true, true
	road := roadUnit(first.Units)
	place := func(k int) float64 { return road.FromSI((float64(k) + 0.5) * stretch) }
	var means [2][]float64
	for i, d := range []*drive.Drive{first, second} {
		along, err := d.Along(first)
		if err != nil {
			return nil, err
		}
		rise, err := d.Rise(drive.Intake)
		if err != nil {
			return nil, err
		}
		means[i] = byStretch(along, rise)
		l := Line{Label: d.Name, Style: ConfigurationLook(i)}
		for k, v := range means[i] {
			l.X, l.Y = append(l.X, place(k)), append(l.Y, reads.of(v))
		}
		p.Lines = append(p.Lines, l)
	}
	apart := Line{Style: Style{Color: black, Width: 1.2}}
	common, cooler, sum := 0, 0, 0.0
	for k := range min(len(means[0]), len(means[1])) {
		d := means[1][k] - means[0][k]
		apart.X, apart.Y = append(apart.X, place(k)), append(apart.Y, reads.of(d))
		if math.IsNaN(d) {
			continue
		}
		common++
		sum += d
		if d < 0 {
			cooler++
		}
	}
	q.Lines = []Line{apart}
	f := &Figure{Title: "The two drives have no stretch of road in common", XLabel: "along the road (" + road.Symbol() + ")", Panels: []Panel{p, q}}
	length := quantity.Format(float64(common)*stretch, road, 3)
	if common > 0 {
		f.Title = fmt.Sprintf("Place by place: %q was cooler than %q on %.0f %% of %s, on average by %s", second.Name, first.Name,
			100*float64(cooler)/float64(common), length, reads.say("%.1f", -sum/float64(common)))
		if sum > 0 {
			f.Title = fmt.Sprintf("Place by place: %q was warmer than %q on %.0f %% of %s, on average by %s", second.Name, first.Name,
				100*(1-float64(cooler)/float64(common)), length, reads.say("%.1f", sum/float64(common)))
		}
	}
	f.Caption = []string{fmt.Sprintf("Means over %.0f m. The two were there at different times: one may have been warm already, or have stood there.", stretch)}
	return f, nil
}

// roadUnit is miles for who reads mph, else kilometres.
func roadUnit(units quantity.Preferred) quantity.Unit {
	if units.Of(quantity.KindSpeed) == quantity.KindSpeed.Unit("mph") {
		return quantity.KindLength.Unit("mi")
	}
	return quantity.KindLength.Unit("km")
}

// byStretch averages a series over each stretch of road; NaN where it has none.
func byStretch(along, s *series.Series) (means []float64) {
	var count []float64
	for i, t := range along.Time {
		v, at := s.Lookup(t, drive.MaxGap), along.Value[i]
		if math.IsNaN(at) || math.IsNaN(v) {
			continue
		}
		k := int(at / stretch)
		for len(means) <= k {
			means, count = append(means, 0), append(count, 0)
		}
		means[k] += v
		count[k]++
	}
	for k := range means {
		means[k] /= count[k] // 0/0 is missing
	}
	return means
}
