//go:build linux && amd64

package faults

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
)

// A tally counts what a sweep saw.
type tally struct {
	points, old, new, leftovers int
}

// sweep runs a command with a fault at every step-th point of each kind, and
// fails where a file is neither as before nor as after the command.
func sweep(t *testing.T, c command, step int) tally {
	folder := filepath.Join(filepath.Dir(program), "work")
	t.Cleanup(func() { os.RemoveAll(folder) })
	read := func() map[string][]byte {
		all := map[string][]byte{}
		for _, f := range c.files {
			if data, err := os.ReadFile(filepath.Join(folder, f)); err == nil {
				all[f] = data
			}
		}
		return all
	}
	try := func(f fault, at int) traced {
		t.Helper()
		c.prepare(t, folder)
		cmd := start(folder, c.args...)
		return trace(t, cmd, folder, f, at, func(p *os.Process) {
			if c.until != nil {
				c.until(folder, p)
			}
		})
	}
	c.prepare(t, folder)
	before := read()
	good := try(none, -1)
	after := read()
	if c.until == nil && good.status != 0 {
		t.Fatalf("%s: status %d without a fault:\n%s", c.name, good.status, good.output)
	}
	if len(after) != len(c.files) {
		t.Fatalf("%s wrote %d of %q:\n%s", c.name, len(after), c.files, good.output)
	}
	if len(good.points) < 4*len(c.files) {
		t.Fatalf("%s: only %q seen", c.name, good.points)
	}
	var sum tally
	for _, f := range []fault{killBefore, killAfter, broken, full} {
		for at := int(f) % step; at < len(good.points); at += step {
			got := try(f, at)
			sum.points++
			where := fmt.Sprintf("%s: %v at point %d of %d (%s)", c.name, f, at, len(good.points), pointName(got, at))
			allNew := true
			for name, data := range read() {
				switch {
				case bytes.Equal(data, after[name]):
					sum.new++
				case before[name] != nil && bytes.Equal(data, before[name]):
					sum.old++
					allNew = false
				case c.whole != nil && c.whole(data):
					sum.old++
				default:
					t.Errorf("%s: %s holds %d bytes, which are neither the old nor the new file", where, name, len(data))
				}
			}
			for name := range before {
				if _, err := os.Stat(filepath.Join(folder, name)); err != nil {
					t.Errorf("%s: %s is gone: %v", where, name, err)
				}
			}
			for _, name := range c.files {
				if _, err := os.Stat(filepath.Join(folder, name)); err != nil {
					allNew = false
				}
			}
			if c.until == nil && (f == broken || f == full) && got.status == 0 && !allNew {
				t.Errorf("%s: the command ended with status 0, but did not write:\n%s", where, got.output)
			}
			c.checkFirst(t, where, folder, before)
			left := temporaries(folder)
			sum.leftovers += len(left)
			if len(left) > 1 || len(left) > 0 && f != killBefore && f != killAfter && !strings.HasPrefix(pointName(got, at), "unlink") {
				t.Errorf("%s: %q left", where, left)
			}
			if c.until == nil {
				runAgain(t, c, folder, where, after)
			}
		}
	}
	return sum
}

// runAgain does the command once more, without a fault: it succeeds, and
// nothing is left of the one before.
func runAgain(t *testing.T, c command, folder, where string, after map[string][]byte) {
	t.Helper()
	if c.once {
		for _, name := range c.files { // not overwritten: out of the way
			os.Remove(filepath.Join(folder, name))
		}
	}
	runPlain(t, folder, c.args...)
	for name, want := range after {
		if data, err := os.ReadFile(filepath.Join(folder, name)); err != nil || !bytes.Equal(data, want) {
			t.Errorf("%s: done again, %s holds %d bytes, %v", where, name, len(data), err)
		}
	}
	if left := temporaries(folder); len(left) > 0 {
		t.Errorf("%s: done again, and %q is left", where, left)
	}
}

// checkFirst looks at the mode and the link of the first file.
func (c command) checkFirst(t *testing.T, where, folder string, before map[string][]byte) {
	t.Helper()
	if c.mode != 0 && before[c.files[0]] != nil {
		if info, err := os.Lstat(filepath.Join(folder, c.files[0])); err != nil || info.Mode() != c.mode {
			t.Errorf("%s: %s became %v, %v", where, c.files[0], info, err)
		}
	}
	if c.link != "" {
		if info, err := os.Lstat(filepath.Join(folder, c.link)); err != nil || info.Mode()&fs.ModeSymlink == 0 {
			t.Errorf("%s: %s is no link any more: %v", where, c.link, err)
		}
	}
}

func pointName(r traced, at int) string {
	if at < len(r.points) {
		return r.points[at]
	}
	return "not reached"
}

// temporaries lists files that no command is asked for.
func temporaries(folder string) (list []string) {
	filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err == nil && atomicfile.Leftover(d.Name()) {
			list = append(list, filepath.Base(path))
		}
		return nil
	})
	return list
}

// A few points of every command; TestEveryPoint takes them all.
func TestSomePoints(t *testing.T) {
	for _, c := range commands() {
		t.Run(c.name, func(t *testing.T) { t.Logf("%+v", sweep(t, c, 17)) })
	}
}
