package heat

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
	"github.com/bonnetbook/bonnetbook/pkg/warm"
)

// blockTime is the length of a block in seconds: longer than probes lag, and
// short enough for a village.
const blockTime = 30.0

// block is half a minute of the drive.
type block struct {
	span    series.Interval
	rise    float64 // K, intake above ambient
	ambient float64 // K
	speed   float64 // m/s
	draught float64 // 1/(1 + v/5 m/s): how stale the bay's air is, 1 at rest
	open    bool    // the thermostat
	known   bool
	settled bool
	soaking bool
	kind    segment.Kind
	top     float64 // K above ambient, NaN without the channel
	outlet  float64 // K above ambient, NaN without the channel
	onset   float64 // s since the opening, negative before
	warm    bool    // the engine is known to be, see package warm
	since   float64 // s that it has been, NaN where it was from the start
}

// newBlocks cuts each segment into blocks; a rest of less than half a block
// joins nothing.
func newBlocks(d *drive.Drive, opening thermostat.Result, segments []segment.Segment) []block {
	get := func(r drive.Role) *series.Series {
		if c, ok := d.Channels[r]; ok {
			return c.Series
		}
		return &series.Series{}
	}
	intake, ambient, speed := get(drive.Intake), get(drive.Ambient), get(drive.Speed)
	top, outlet := get(drive.TopTank), get(drive.RadiatorAir)
	engine := warm.Of(d, opening)
	var all []block
	for _, s := range segments {
		if s.Kind == segment.Unknown {
			continue
		}
		n := max(1, math.Round(s.Interval.Duration()/blockTime))
		step := s.Interval.Duration() / n
		if step < blockTime/2 {
			continue
		}
		for k := range int(n) {
			from := s.Interval.From + float64(k)*step
			b := block{span: series.Interval{From: from, To: from + step}, kind: s.Kind, settled: s.Settled, soaking: s.HeatSoak, onset: math.NaN(), since: math.NaN()}
			b.ambient = ambient.Mean(b.span, drive.MaxGap)
			b.rise = intake.Mean(b.span, drive.MaxGap) - b.ambient
			b.speed = speed.Mean(b.span, drive.MaxGap)
			if math.IsNaN(b.rise) || math.IsNaN(b.speed) {
				continue
			}
			b.draught = 1 / (1 + b.speed/5)
			b.top = top.Mean(b.span, drive.MaxGap) - b.ambient
			b.outlet = outlet.Mean(b.span, drive.MaxGap) - b.ambient
			b.open, b.known = opening.IsOpen(from + step/2)
			if opening.Outcome == thermostat.Opened {
				b.onset = from + step/2 - opening.Onset
			}
			b.warm, _ = engine.IsWarm(from + step/2)
			if engine.Outcome == warm.Became {
				b.since = from + step/2 - engine.At
			}
			all = append(all, b)
		}
	}
	return all
}

// pick returns the blocks that are wanted.
func pick(all []block, want func(block) bool) []block {
	var chosen []block
	for _, b := range all {
		if want(b) {
			chosen = append(chosen, b)
		}
	}
	return chosen
}
