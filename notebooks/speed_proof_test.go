//go:build proof

package notebooks

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// What somebody waits for who runs all cells: processor time of a notebook and
// of all, and the time until the first picture.
const (
	mostOfOne    = 5 * time.Second
	mostOfAll    = time.Minute
	firstPicture = 2 * time.Second
	speedRuns    = 3 // the quickest counts: others share the machine
)

// TestSpeed measures each notebook as on its first day: nothing is remembered
// of the drives that it opens. "To the first picture" is a run of the cells up
// to the first that shows one, the program's start included; on a machine that
// others use, too, its processor time, below which a quiet one stays.
func TestSpeed(t *testing.T) {
	exe, err := program()
	if err != nil {
		t.Fatal(err)
	}
	var table strings.Builder
	load, _ := os.ReadFile("/proc/loadavg")
	fmt.Fprintf(&table, "command: make course-speed\n\n%s/%s, %d processors, load before: %s\n\n", runtime.GOOS, runtime.GOARCH, runtime.NumCPU(), strings.Fields(string(load) + " unknown")[0])
	fmt.Fprintf(&table, "%-32s %14s %26s\n", "notebook", "processor s", "to the first picture, s")
	var sum time.Duration
	for _, path := range all(t) {
		folder := filepath.Join(scratch, "speed")
		copied := widened(t, "speed", path, func(int, cell) []any { return nil })
		whole, _ := measure(t, exe, folder, copied)
		ran, doc := read(t, filepath.Join(folder, "ran", path)), document(t, copied)
		doc["cells"] = doc["cells"].([]any)[:pictureIn(ran)+1]
		data, err := json.Marshal(doc)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(copied, data, 0o644); err != nil {
			t.Fatal(err)
		}
		busy, first := measure(t, exe, folder, copied)
		first = min(first, busy)
		sum += whole
		fmt.Fprintf(&table, "%-32s %14.1f %26.1f\n", path, whole.Seconds(), first.Seconds())
		if whole > mostOfOne {
			t.Errorf("%s takes %v of processor time, %v at most", path, whole, mostOfOne)
		}
		if first > firstPicture {
			t.Errorf("%s shows its first picture after %v, %v at most", path, first, firstPicture)
		}
	}
	fmt.Fprintf(&table, "%-32s %14.1f\n", "all", sum.Seconds())
	if sum > mostOfAll {
		t.Errorf("all notebooks take %v of processor time, %v at most", sum, mostOfAll)
	}
	t.Log("\n" + table.String())
	if os.Getenv("BONNETBOOK_PROOF_STORE") != "" {
		if err := os.WriteFile("testdata/speed.txt", []byte(table.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// pictureIn is the cell that shows the first picture.
func pictureIn(ran file) int {
	for i, c := range ran.Cells {
		for _, o := range c.Outputs {
			if o.Data["image/png"] != nil {
				return i
			}
		}
	}
	return len(ran.Cells) - 1
}

// measure runs a notebook without what an earlier run has remembered, and
// returns the least processor time and the least time that it took.
func measure(t *testing.T, exe, folder, path string) (processor, took time.Duration) {
	t.Helper()
	for range speedRuns {
		cache, err := os.MkdirTemp(folder, "cache")
		if err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command(exe, "run", "-q", "-keep-going", "-o", filepath.Join(folder, "ran", filepath.Base(path)), path)
		cmd.Env = append(os.Environ(), "BONNETBOOK_CACHE="+cache)
		began := time.Now()
		cmd.Run() // cells that are meant to fail do
		wall, cpu := time.Since(began), cmd.ProcessState.UserTime()+cmd.ProcessState.SystemTime()
		if processor == 0 || cpu < processor {
			processor = cpu
		}
		if took == 0 || wall < took {
			took = wall
		}
	}
	return processor, took
}
