// Package together joins drives of one campaign: each alone first, and once more
// with the clocks that all of them tell together where one drive does not.
package together

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/parallel"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// Memory holds the clocks of the drives that were joined, each drive alone, by
// what they were joined from: other drives may need what they say. The zero value
// is ready, and it is safe for use by several goroutines.
type Memory struct {
	mu sync.Mutex
	of map[string][]drive.DeviceClock
}

func (m *Memory) recall(key string) ([]drive.DeviceClock, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	clocks, ok := m.of[key]
	return clocks, ok
}

func (m *Memory) keep(key string, clocks []drive.DeviceClock) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.of == nil {
		m.of = map[string][]drive.DeviceClock{}
	}
	m.of[key] = clocks
}

// keyOf names what a drive is joined from: the words of its request and the state
// of its files, or of the archives that they are in. Intervals are written by
// their ends: as text they are rounded.
func keyOf(r drive.Request) string {
	var key strings.Builder
	fmt.Fprintf(&key, "%q %+v %v %v\n", r.Name, r.Clocks, r.Clocks.Search.From, r.Clocks.Search.To)
	for _, s := range r.Sources {
		fmt.Fprintf(&key, "%q %d %+v %+v %v\n", s.Device, s.Session, s.Layout, s.Columns, s.Sync)
		if c := s.Clock; c != nil {
			fmt.Fprintf(&key, "%v %v %v %v %v %v\n", c.Method, c.Offset, c.Drift, c.Origin.UnixNano(), c.Interval.From, c.Interval.To)
		}
		for _, p := range s.Files {
			fmt.Fprintf(&key, "%q", p)
			if archive, _, ok := recording.WithinArchive(p); ok {
				p = archive
			}
			if info, err := os.Stat(p); err == nil {
				fmt.Fprintf(&key, " %d %d\n", info.Size(), info.ModTime().UnixNano())
			}
		}
	}
	return key.String()
}

// Join makes the wanted drives, as many at once as there are processors; the
// errors are those of [drive.Join]. Where the clocks of one of them can't be told
// alone, the others are looked at, too: what the readings of all say together
// ([drive.Again]), and, where they say nothing, when the devices recorded
// ([clock.FromDriveTimes]). A logger whose date was never set loses no drive so.
func (m *Memory) Join(wanted, others []drive.Request) ([]*drive.Drive, []error) {
	drives, failed := make([]*drive.Drive, len(wanted)), make([]error, len(wanted))
	parallel.Each(len(wanted), func(i int) { drives[i], failed[i] = m.alone(wanted[i]) })
	if len(wanted)+len(others) < 2 {
		return drives, failed
	}
	wanted = slices.Clone(wanted)
	spans := sync.OnceValue(func() []map[string]span { return spansOfAll(append(slices.Clone(wanted), others...)) })
	for range 2 { // once more with the drives that could be joined only then
		if slices.ContainsFunc(drives, (*drive.Drive).ClocksOpen) {
			join(drive.Again(wanted, drives, m.clocksOf(others)...), drives, failed)
		}
		rough := byDriveTimes(wanted, drives, failed, spans)
		if len(rough) == 0 {
			break
		}
		join(rough, drives, failed)
		for i, r := range rough {
			wanted[i] = r
		}
	}
	return drives, failed
}

// join joins drives once more, each by its index.
func join(again map[int]drive.Request, drives []*drive.Drive, failed []error) {
	parallel.Each(len(drives), func(i int) {
		r, told := again[i]
		if !told {
			return
		}
		if d, err := joined(r); err == nil {
			drives[i], failed[i] = d, nil
		}
	})
}

// alone joins one drive and remembers its clocks; one that can't be joined has
// none.
func (m *Memory) alone(r drive.Request) (*drive.Drive, error) {
	d, err := joined(r)
	if err != nil {
		m.keep(keyOf(r), nil)
		return nil, err
	}
	m.keep(keyOf(r), d.Clocks)
	return d, nil
}

// joined joins a drive, without the files that have no date where it can't be
// joined with them.
func joined(r drive.Request) (*drive.Drive, error) {
	d, err := drive.Join(r)
	if err != nil {
		return withoutUndated(r, err)
	}
	return d, nil
}

// clocksOf returns the clocks of drives, which are joined where they are not
// remembered.
func (m *Memory) clocksOf(requests []drive.Request) [][]drive.DeviceClock {
	all := make([][]drive.DeviceClock, len(requests))
	parallel.Each(len(requests), func(i int) {
		var known bool
		if all[i], known = m.recall(keyOf(requests[i])); known {
			return
		}
		if d, err := m.alone(requests[i]); err == nil {
			all[i] = d.Clocks
		}
	})
	return all
}
