//go:build proof

package thermostat

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// A proofDrive is one drive of a simulator with its truth.
type proofDrive struct {
	drive *drive.Drive
	// truth is the first flow: the instant at which the valve first lifts, s;
	// NaN if the record holds no such instant.
	truth float64
	// kind is a key of the tables below.
	kind string
	car  string // drives of one car share it
}

// Kinds of drives. In the first group the valve opens within the record, in
// the second it does not.
const (
	kindOpens = "cold start"
	kindLate  = "record begins late" // at 0.75 to 0.95 of the opening
	kindTepid = "warm start below"   // the engine is warm, the valve still shut

	kindHop       = "short hop"
	kindTruncated = "cut before"          // the record ends before the opening
	kindParked    = "parked before"       // a stop with the engine off, ended before the opening
	kindStuck     = "stuck open"          // the valve never shuts
	kindHot       = "hot start"           // the valve is open from the first reading
	kindAfter     = "record begins after" // the valve opened before the record
)

var (
	openKinds   = []string{kindOpens, kindLate, kindTepid}
	closedKinds = []string{kindHop, kindTruncated, kindParked, kindStuck, kindHot, kindAfter}
)

var proofSteps = []float64{2, 10, 30}

// proofSets are the channels that the tables are made for.
var proofSets = []struct {
	name  string
	roles []drive.Role
	few   bool // for the quickest logger alone
}{
	{"top tank", []drive.Role{drive.TopTank, drive.Speed}, false},
	{"coolant", []drive.Role{drive.Coolant, drive.Speed}, false},
	{"all", []drive.Role{drive.TopTank, drive.Coolant, drive.EngineBay, drive.Intake, drive.Ambient, drive.Speed}, false},
	{"bottom tank", []drive.Role{drive.BottomTank, drive.Speed}, true},
}

// only keeps the channels of the given roles.
func only(d *drive.Drive, roles []drive.Role) *drive.Drive {
	out := &drive.Drive{Name: d.Name, Configuration: d.Configuration, Start: d.Start, Channels: map[drive.Role]*drive.Channel{}}
	for _, r := range roles {
		if c, ok := d.Channels[r]; ok {
			out.Channels[r] = c
		}
	}
	return out
}

// cut keeps what a drive recorded from one second to another.
func cut(d *drive.Drive, from, to float64) *drive.Drive {
	out := &drive.Drive{Name: fmt.Sprintf("%s from %.0f to %.0f s", d.Name, from, to), Start: d.Start, Channels: map[drive.Role]*drive.Channel{}}
	for r, c := range d.Channels {
		s := c.Series
		a, _ := slices.BinarySearch(s.Time, from)
		b, _ := slices.BinarySearch(s.Time, to)
		if b-a < 3 {
			continue
		}
		out.Channels[r] = &drive.Channel{Role: r, Device: c.Device, Series: &series.Series{Name: s.Name, Dimension: s.Dimension, Start: s.Start, Time: s.Time[a:b], Value: s.Value[a:b]}}
	}
	return out
}

// A tally counts what became of drives of one kind.
type tally struct {
	n, held, early, late int
	outcomes             map[Outcome]int
	widths, errors       []float64
	signed               []float64 // onset minus truth
	// By car: the truth held and the answers; openings and drives; stuck open
	// and drives.
	cars, opened, stuck map[string][2]float64
}

func (c *tally) add(p proofDrive, r Result) {
	if c.outcomes == nil {
		c.outcomes = map[Outcome]int{}
		c.cars, c.opened, c.stuck = map[string][2]float64{}, map[string][2]float64{}, map[string][2]float64{}
	}
	c.n++
	count(c.opened, p.car, r.Outcome == Opened)
	count(c.stuck, p.car, r.Outcome == StuckOpen)
	c.outcomes[r.Outcome]++
	if r.Outcome != Opened || math.IsNaN(p.truth) {
		return
	}
	c.errors = append(c.errors, math.Abs(r.Onset-p.truth))
	c.widths = append(c.widths, r.Interval95.Duration())
	c.signed = append(c.signed, r.Onset-p.truth)
	count(c.cars, p.car, r.Interval95.Contains(p.truth))
	switch {
	case p.truth < r.Interval95.From:
		c.late++
	case p.truth > r.Interval95.To:
		c.early++
	default:
		c.held++
	}
}

func count(of map[string][2]float64, car string, hit bool) {
	x := of[car]
	if x[1]++; hit {
		x[0]++
	}
	of[car] = x
}

func (c *tally) coverage() float64 { return 100 * float64(c.held) / float64(len(c.errors)) }

// openRow is the table's row for drives that open.
func (c *tally) openRow() string {
	slices.Sort(c.errors)
	slices.Sort(c.widths)
	slices.Sort(c.signed)
	return fmt.Sprintf("%4d %4d  %5.1f %5.1f %5.1f  %6.1f %6.1f %6.1f %6.1f  %4d %4d %4d %4d", c.n, len(c.errors), c.coverage(),
		100*float64(c.early)/float64(len(c.errors)), 100*float64(c.late)/float64(len(c.errors)),
		quantileOf(c.widths, 0.5), quantileOf(c.errors, 0.5), quantileOf(c.errors, 0.9), quantileOf(c.signed, 0.5),
		c.outcomes[NotDecidable], c.outcomes[NotReached], c.outcomes[AlreadyOpen], c.outcomes[StuckOpen])
}

const openHead = "   n  ans   held early  late   width  err50  err90   bias  ndec nrch alrd stck"

func (c *tally) closedRow() string {
	return fmt.Sprintf("%4d %4d  %4d %4d %4d %4d", c.n, c.outcomes[Opened], c.outcomes[NotDecidable], c.outcomes[NotReached], c.outcomes[AlreadyOpen], c.outcomes[StuckOpen])
}

const closedHead = "   n open  ndec nrch alrd stck"

// quantileOf is that of sorted values.
func quantileOf(x []float64, q float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	return x[int(q*float64(len(x)-1))]
}
