package campaign

import (
	"fmt"
	"os"
	"runtime"
	"slices"
	"sync"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// clockMemory holds the clocks of the drives that were joined, each drive alone,
// by what they were joined from: other drives may need what they say.
type clockMemory struct {
	sync.Mutex
	of map[string][]drive.DeviceClock
}

func (m *clockMemory) recall(key string) ([]drive.DeviceClock, bool) {
	if m == nil { // a campaign that was not opened
		return nil, false
	}
	m.Lock()
	defer m.Unlock()
	clocks, ok := m.of[key]
	return clocks, ok
}

func (m *clockMemory) keep(key string, clocks []drive.DeviceClock) {
	if m == nil {
		return
	}
	m.Lock()
	defer m.Unlock()
	if m.of == nil {
		m.of = map[string][]drive.DeviceClock{}
	}
	m.of[key] = clocks
}

// joinKey names what an entry is joined from: the words of the campaign and the
// state of the files.
func (c *Campaign) joinKey(e Entry) string {
	key := fmt.Sprintf("%+v %+v", e, c.Devices)
	for _, f := range e.Files {
		for _, p := range f.Paths {
			if info, err := os.Stat(c.join(p)); err == nil {
				key += fmt.Sprintf(" %d %d", info.Size(), info.ModTime().UnixNano())
			}
		}
	}
	return key
}

// assembleAll makes the drives of some entries, as many at once as there are
// processors. Where the clocks of one of them can't be told alone, the other
// entries are looked at for what all of them tell together.
func (c *Campaign) assembleAll(entries []Entry) ([]*drive.Drive, []error) {
	drives, failed := make([]*drive.Drive, len(entries)), make([]error, len(entries))
	each(len(entries), func(i int) { drives[i], failed[i] = c.joinAlone(entries[i]) })
	c.tellTogether(entries, drives)
	each(len(entries), func(i int) {
		if failed[i] == nil {
			drives[i], failed[i] = c.complete(entries[i], drives[i])
		}
	})
	return drives, failed
}

// joinAlone joins one entry and remembers its clocks.
func (c *Campaign) joinAlone(e Entry) (*drive.Drive, error) {
	d, err := drive.Join(c.request(e))
	if err != nil {
		c.clocks.keep(c.joinKey(e), nil)
		return nil, fmt.Errorf("%s:%d: %w", c.Path, e.line, err)
	}
	c.clocks.keep(c.joinKey(e), d.Clocks)
	return d, nil
}

// tellTogether joins those drives again whose clocks the campaign tells and they
// alone do not.
func (c *Campaign) tellTogether(entries []Entry, drives []*drive.Drive) {
	open := func(d *drive.Drive) bool { return d != nil && d.ClocksOpen() }
	if len(c.Entries) < 2 || !slices.ContainsFunc(drives, open) {
		return
	}
	clocks := make([][]drive.DeviceClock, len(drives))
	for i, d := range drives {
		if d != nil {
			clocks[i] = d.Clocks
		}
	}
	clocks = append(clocks, c.clocksOfOthers(entries)...)
	found := drive.CommonClocks(clocks, c.request(entries[0]).Clocks)
	each(len(drives), func(i int) {
		if len(found[i]) == 0 {
			return
		}
		if d, err := drive.Join(c.request(entries[i]).WithClocks(drives[i], found[i])); err == nil {
			drives[i] = d
		}
	})
}

// clocksOfOthers returns the clocks of the entries that are not among these; a
// drive that can't be joined has none.
func (c *Campaign) clocksOfOthers(these []Entry) [][]drive.DeviceClock {
	var others []Entry
	for _, e := range c.Entries {
		if !slices.ContainsFunc(these, func(t Entry) bool { return t.Name == e.Name }) {
			others = append(others, e)
		}
	}
	all := make([][]drive.DeviceClock, len(others))
	each(len(others), func(i int) {
		var known bool
		if all[i], known = c.clocks.recall(c.joinKey(others[i])); known {
			return
		}
		if d, err := c.joinAlone(others[i]); err == nil {
			all[i] = d.Clocks
		}
	})
	return all
}

// each does n things, as many at once as there are processors.
func each(n int, do func(i int)) {
	next := make(chan int)
	var done sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		done.Go(func() {
			for i := range next {
				do(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	done.Wait()
}
