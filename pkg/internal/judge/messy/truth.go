package messy

import (
	"math"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
)

// Truth is what truth.json holds.
type Truth struct {
	Schema  int           `json:"schema"`
	Seed    uint64        `json:"seed"`
	Rig     string        `json:"rig"`
	RigWhy  string        `json:"rig_why"`
	Variant string        `json:"variant"`
	ZoneH   float64       `json:"local_minus_utc_h"`
	Order   judge.Order   `json:"order"`
	Flaws   []judge.Flaw  `json:"flaws"`
	RefitK  float64       `json:"refit_K"`
	DriftK  float64       `json:"drift_K"`
	Odd     int           `json:"outlier_drive"` // from 1, 0 without
	Devices []DeviceTruth `json:"devices"`
	Drives  []DriveTruth  `json:"drives"`
	Files   []FileTruth   `json:"files"`
	// ChangeK is after minus before by kind, on these days and on a reference
	// day; empty when only one configuration was driven.
	ChangeK    map[string]judge.Number `json:"change_K,omitempty"`
	ReferenceK map[string]judge.Number `json:"change_reference_K,omitempty"`
	PowerRatio judge.Number            `json:"power_ratio"`
}

// DeviceTruth is one device: how it writes and how wrong its clock is.
type DeviceTruth struct {
	Name       string            `json:"name"`
	Shape      string            `json:"shape"`
	Packing    string            `json:"packing,omitempty"`
	Language   string            `json:"language,omitempty"`
	Encoding   string            `json:"encoding,omitempty"`
	DateLayout string            `json:"date_layout,omitempty"` // as Go writes it: 02 is the day, 01 the month
	Unit       string            `json:"unit,omitempty"`
	Open       string            `json:"open_circuit,omitempty"`
	Zone       string            `json:"zone"`
	ZoneWrongH float64           `json:"zone_wrong_h"`
	StepS      float64           `json:"step_s,omitempty"`
	Growing    bool              `json:"one_growing_file,omitempty"`
	Repeats    bool              `json:"header_repeats,omitempty"`
	SwappedIn  string            `json:"probes_swapped_in_drive,omitempty"`
	Missing    string            `json:"missing_in_drive,omitempty"`
	Harm       []string          `json:"harm,omitempty"`
	Columns    map[string]string `json:"columns,omitempty"` // label to place; "" is a socket without a probe
	// ErrorS is device minus true local time at the start of each drive, with
	// the zone's hours.
	ErrorS map[string]float64 `json:"clock_error_s,omitempty"`
}

// DriveTruth is one drive.
type DriveTruth struct {
	Name          string       `json:"name"`
	Configuration string       `json:"configuration"`
	StartUTC      time.Time    `json:"start_utc"`
	EndUTC        time.Time    `json:"end_utc"`
	OpeningUTC    *time.Time   `json:"first_flow_utc"`
	TankRiseUTC   *time.Time   `json:"tank_rise_utc"`
	AmbientC      float64      `json:"ambient_C"`
	WarmStartC    judge.Number `json:"warm_start_C"`
	// ParkedFromUTC and ParkedS are a stop with the engine off on the way.
	ParkedFromUTC *time.Time       `json:"parked_from_utc,omitempty"`
	ParkedS       float64          `json:"parked_s,omitempty"`
	Files         []string         `json:"files"`
	Truth         judge.DriveTruth `json:"truth"`
}

// FileTruth is one file of the folder.
type FileTruth struct {
	Path   string   `json:"path"`
	Used   bool     `json:"used"`
	Device string   `json:"device,omitempty"`
	CopyOf string   `json:"copy_of,omitempty"`
	Drives []string `json:"drives,omitempty"`
}

func newTruth(seed uint64, rig Rig, c *judge.Campaign) Truth {
	t := Truth{Schema: 1, Seed: seed, Rig: rig.Name, RigWhy: rig.Why, Variant: c.Variant, Order: c.Plan.Order,
		Flaws: c.Plan.Flaws, RefitK: c.RefitK, DriftK: c.DriftK, Odd: c.Odd + 1}
	two := [2]bool{}
	for _, d := range c.Drives {
		side := 0
		if d.After {
			side = 1
		}
		two[side] = true
		instant := func(s float64) *time.Time {
			if s != s {
				return nil
			}
			at := d.Start.Add(time.Duration(s * 1e9))
			return &at
		}
		parkedAt, parkedS := math.NaN(), 0.0
		if len(d.Run.Parks) > 0 {
			parkedAt, parkedS = parked(d), d.Run.Parks[0].ForS
		}
		t.Drives = append(t.Drives, DriveTruth{ParkedFromUTC: instant(parkedAt), ParkedS: parkedS,
			Name: d.Name, Configuration: c.Intakes[side].Name, StartUTC: d.Start,
			EndUTC: d.Start.Add(time.Duration(d.Trace.Len()) * time.Second), OpeningUTC: instant(d.Trace.FirstFlowS),
			TankRiseUTC: instant(d.Trace.TankRiseS), AmbientC: d.Run.Day.AmbientC, WarmStartC: judge.Number(d.Run.CoolantC), Truth: d.Truth(),
		})
	}
	if two[0] && two[1] {
		ch := c.Change()
		t.ChangeK, t.ReferenceK = map[string]judge.Number{}, map[string]judge.Number{}
		for k, id := range car.KindIDs {
			t.ChangeK[id], t.ReferenceK[id] = judge.Number(ch.OnTheseDaysK[k]), judge.Number(ch.ReferenceK[k])
		}
		t.PowerRatio = judge.Number(ch.PowerRatio)
	}
	return t
}

// parked is the second from which the engine stood on the way, NaN if never.
func parked(d *judge.Drive) float64 {
	ran := false
	for i, on := range d.Trace.Running {
		if ran && !on {
			return float64(i)
		}
		ran = ran || on
	}
	return math.NaN()
}

// truth is what is true of a logger.
func (d *device) truth(c *judge.Campaign, packing string) DeviceTruth {
	l := d.layout
	t := DeviceTruth{Name: "logger " + d.logger.Name, Shape: l.Shape, Packing: packing, Language: l.lang.code, Encoding: l.Encoding,
		DateLayout: l.Date + " " + l.Hour, Unit: "°C", Open: l.Open, Zone: "local", ZoneWrongH: d.logger.Clock.ZoneWrongH,
		StepS: d.logger.StepS, Growing: d.Growing, Repeats: d.Repeats, Columns: map[string]string{}, ErrorS: map[string]float64{}}
	if l.Fahrenheit {
		t.Unit = "°F"
	}
	if l.Shape == oneStamp {
		t.DateLayout = "2006-01-02T15:04:05"
	}
	t.Harm = d.harm
	name := func(i int) string {
		if i < 0 {
			return ""
		}
		return c.Drives[i].Name
	}
	t.SwappedIn, t.Missing = name(d.SwappedIn), name(d.Missing)
	for _, labels := range [][]string{d.logger.Labels, d.renamed} {
		for i, label := range labels {
			t.Columns[label] = string(d.logger.Probes[i].Place)
			if i < len(d.logger.OpenAlways) && d.logger.OpenAlways[i] {
				t.Columns[label] = ""
			}
		}
	}
	for _, drive := range c.Drives {
		t.ErrorS[drive.Name] = d.logger.Clock.ErrorS(drive.Start)
	}
	return t
}
