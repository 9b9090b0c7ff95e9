package noted

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// airTemperatureUncertainty is the standard uncertainty in K of an outside
// temperature that was noted for a whole drive, from a station or a thermometer
// by the door. Common practice, no source.
const airTemperatureUncertainty = 2.0

// StatedAmbient is the kind of a note on a drive whose outside temperature is a
// value that was noted.
const StatedAmbient estimate.Kind = "outside temperature stated"

// StandIn gives a drive without an ambient probe the outside temperature that
// was noted, as long as its longest temperature channel, with the uncertainty
// of this drive alone. It does nothing where there is a probe, or no value.
func (w Report) StandIn(d *drive.Drive) {
	if d.Has(drive.Ambient) || !w.AirTemperature.IsValid() {
		return
	}
	var longest *drive.Channel
	for _, r := range d.RoleList() {
		c := d.Channels[r]
		if dim, _ := r.Dimension(); dim == quantity.KindTemperature && (longest == nil || c.Series.Len() > longest.Series.Len()) {
			longest = c
		}
	}
	if longest == nil {
		return
	}
	v := make([]float64, longest.Series.Len())
	for i := range v {
		v[i] = w.AirTemperature.Kelvin()
	}
	u := w.AirTemperatureUncertainty.Kelvins()
	if u == 0 {
		u = airTemperatureUncertainty
	}
	text := fmt.Sprintf("%s stated for the whole drive (standard uncertainty %s)", said(d.Units, w.AirTemperature), said(d.Units, quantity.KelvinDifference(u)))
	d.Channels[drive.Ambient] = &drive.Channel{Role: drive.Ambient, Series: longest.Series.With(string(drive.Ambient), quantity.KindTemperature, v),
		Source: text, Column: "air-temperature", Device: "the campaign file", Uncertainty: u, ThisDrive: true, Repairs: []string{text}}
	d.Notes = append(d.Notes, estimate.Warning{Kind: StatedAmbient, Subject: string(drive.Ambient), Text: "no probe measured the outside air; " + text + ". That it changes along the road is not seen"})
}
