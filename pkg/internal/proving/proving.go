// Package proving hands the judge's drives to the analysis, so that tests can
// count how often its claims hold. Only tests import it.
package proving

import (
	"math/rand/v2"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/instrument"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// roles say what a probe's place is for the analysis; places of a second probe
// take no part.
var roles = map[instrument.Place]drive.Role{
	instrument.Intake: drive.Intake, instrument.BayFront: drive.EngineBay, instrument.Grille: drive.Ambient,
	instrument.UpperTank: drive.TopTank, instrument.Coolant: drive.Coolant,
}

// Drive returns what instruments recorded on a drive of a campaign, on true
// time: clocks are another test's matter. It fails where a channel can't be
// made into a series.
func Drive(c *judge.Campaign, d *judge.Drive) (*drive.Drive, error) {
	a, b, track := c.Read(d)
	configuration := c.Intakes[0].Name
	if d.After {
		configuration = c.Intakes[1].Name
	}
	out := &drive.Drive{Name: d.Name, Configuration: configuration, Start: d.Start, Channels: map[drive.Role]*drive.Channel{},
		RatedPower: quantity.Power(c.Car.RatedPowerW), Mass: quantity.Mass(c.Car.MassKg)}
	add := func(r drive.Role, device string, dim series.Dimension, t, v []float64) error {
		s, err := series.New(string(r), dim, d.Start, t, v)
		if err != nil {
			return err
		}
		out.Channels[r] = &drive.Channel{Role: r, Series: s, Device: device}
		return nil
	}
	for _, rec := range []instrument.Recording{a, b} {
		for _, ch := range rec.Channels {
			r, ok := roles[ch.Place]
			if !ok {
				continue
			}
			kelvin := make([]float64, len(ch.Values))
			for i, v := range ch.Values {
				kelvin[i] = quantity.Celsius(v).Kelvin()
			}
			if err := add(r, rec.Device, series.Temperature, rec.TrueS, kelvin); err != nil {
				return nil, err
			}
		}
	}
	columns := map[drive.Role]func(instrument.Fix) float64{
		drive.Speed:     func(f instrument.Fix) float64 { return f.SpeedMPS },
		drive.Altitude:  func(f instrument.Fix) float64 { return f.HeightM },
		drive.Latitude:  func(f instrument.Fix) float64 { return f.LatDeg * float64(quantity.Degree) },
		drive.Longitude: func(f instrument.Fix) float64 { return f.LonDeg * float64(quantity.Degree) },
	}
	for r, f := range columns {
		var t, v []float64
		for _, fix := range track {
			if len(t) > 0 && fix.TrueS <= t[len(t)-1] {
				continue
			}
			t, v = append(t, fix.TrueS), append(v, f(fix))
		}
		dim, _ := r.Dimension()
		if err := add(r, "phone", dim, t, v); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Seeds returns n seeds that follow from one.
func Seeds(seed uint64, n int) []uint64 {
	r := rand.New(rand.NewPCG(seed, 0x70726f76))
	all := make([]uint64, n)
	for i := range all {
		all[i] = r.Uint64()
	}
	return all
}
