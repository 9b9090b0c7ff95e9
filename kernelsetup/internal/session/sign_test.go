package session

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/repl"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/worker"
)

// A cell that shows nothing says that it runs, and how long; the sign is gone
// before its first output, or its end.
func TestSignOfLife(t *testing.T) {
	ev, err := repl.New("")
	if err != nil {
		t.Fatal(err)
	}
	k := startTalk(t, Options{Worker: worker.Here(ev), SignAfter: time.Millisecond})
	const wait = "import (\"os\"; \"time\"; \"fmt\")\nfor {\n\tif _, err := os.Stat(%q); err == nil {\n\t\tbreak\n\t}\n\ttime.Sleep(time.Millisecond)\n}\n%s"
	for name, c := range map[string]struct{ last, kind string }{
		"prints": {`fmt.Println("there")`, "stream"}, "shows": {"6 * 7", "execute_result"}, "fails": {"panic(1)", "error"}, "is silent": {"", ""},
	} { // no subtests: with -v their names would be output of the cell
		flag := filepath.Join(t.TempDir(), "go on")
		id := k.send("execute_request", map[string]any{"code": fmt.Sprintf(wait, flag, c.last)})
		sign, ok := k.until(id, time.Minute, func(h heard) bool { return h.kind == "display_data" })
		if !ok || !strings.Contains(string(sign.raw), "running for 1 s") {
			t.Fatalf("a cell that %s gives no sign: %s", name, sign.raw)
		}
		if err := os.WriteFile(flag, nil, 0o644); err != nil {
			t.Fatal(err)
		}
		k.answer(id, time.Minute)
		var kinds []string
		for _, h := range k.all(id) {
			if h.channel == "iopub" && h.kind != "status" && h.kind != "execute_input" && h.kind != "update_display_data" {
				kinds = append(kinds, h.kind)
			}
		}
		want := []string{"display_data", "clear_output"}
		if c.kind != "" {
			want = append(want, c.kind)
		}
		if !slices.Equal(kinds, want) {
			t.Errorf("a cell that %s published %q, want %q", name, kinds, want)
		}
	}
}
