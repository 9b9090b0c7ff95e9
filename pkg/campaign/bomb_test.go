package campaign

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// A small file made to cost much is refused, or read like any other. The time
// is no measure of speed: without its bound such a test ran for ten minutes.
func TestCostlyCampaignFiles(t *testing.T) {
	const size = maxFileSize - 1000
	fill := func(line func(i int) string) string {
		var b strings.Builder
		for i := 0; b.Len() < size; i++ {
			b.WriteString(line(i))
		}
		return b.String()[:size]
	}
	same := func(text string) string { return fill(func(int) string { return text }) }
	for name, text := range map[string]string{
		"open lists":        "a = " + same("["),
		"lists":             "a = " + strings.Repeat("[", size/2) + strings.Repeat("]", size/2),
		"tables in a line":  "a = " + same("{a="),
		"one long key":      strings.TrimSuffix("a"+same(".a"), ".") + " = 1",
		"one deep table":    "[" + same("a.") + "a]\n",
		"the deepest table": "[" + strings.Repeat("a.", maxLine/2-10) + "a]\n",
		"the longest key":   "a" + strings.Repeat(".a", maxLine/2-10) + " = 1\n",
		"tables":            same("[[a]]\n"),
		"deep tables":       same("[[" + strings.Repeat("a.", 500) + "a]]\n"),
		"numbers":           "a = [" + same("1,") + "]",
		"strings":           "a = [" + same(`"",`) + "]",
		"keys":              fill(func(i int) string { return fmt.Sprintf("k%d=1\n", i) }),
		"keys in a line":    "a = {" + fill(func(i int) string { return fmt.Sprintf("k%d=1,", i) }),
		"a long line":       same("x"),
		"a long text":       `a = """` + same("x"),
		"lines":             same("\n"),
		"drives of no sort": same("[[drive]]\n"),
	} {
		path := filepath.Join(t.TempDir(), "c.toml")
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		start := time.Now()
		_, err := Open(path)
		took := time.Since(start)
		runtime.ReadMemStats(&after)
		if err == nil || !strings.Contains(err.Error(), "c.toml") {
			t.Errorf("%s: %v", name, err)
		} else if len(err.Error()) > 100<<10 {
			t.Errorf("%s: an error of %d bytes", name, len(err.Error()))
		}
		if grown := int64(after.Sys) - int64(before.Sys); grown > 200<<20 || took > 20*time.Second {
			t.Errorf("%s took %v and %d MB", name, took, grown>>20)
		}
		if testing.Verbose() {
			t.Log(name, took, (after.Sys-before.Sys)>>20, "MB", len(err.Error()))
		}
	}
}
