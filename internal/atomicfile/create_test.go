package atomicfile

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error { return all(w, []byte(s)) }
}

func TestCreate(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "new.csv")
	if err := Create(path, 0o644, text("first")); err != nil {
		t.Fatal(err)
	}
	if err := Create(path, 0o644, text("second")); !errors.Is(err, fs.ErrExist) || !strings.Contains(err.Error(), path+" exists already and is left as it is") {
		t.Errorf("over a file: %v", err)
	}
	wrong := errors.New("no rows")
	if err := Create(filepath.Join(dir, "none"), 0o644, func(w io.Writer) error {
		io.WriteString(w, "half")
		return wrong
	}); !errors.Is(err, wrong) {
		t.Errorf("the writer's own error: %v", err)
	}
	if err := Create(filepath.Join(dir, "missing", "f"), 0o644, text("")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("in a missing folder: %v", err)
	}
	if err := Create(dir, 0o644, text("")); !errors.Is(err, fs.ErrExist) {
		t.Errorf("over a folder: %v", err)
	}
	link := filepath.Join(dir, "link")
	if os.Symlink(filepath.Join(dir, "nowhere"), link) == nil {
		if err := Create(link, 0o644, text("")); !errors.Is(err, fs.ErrExist) {
			t.Errorf("through a link that leads nowhere: %v", err)
		}
		os.Remove(link)
	}
	if got := content(t, path); got != "first" {
		t.Errorf("the file holds %q", got)
	}
	if got := listing(t, dir); !slices.Equal(got, []string{"new.csv"}) {
		t.Errorf("the folder holds %q", got)
	}
}

// Of many that make one file, one does, and its content is there.
func TestCreateOnce(t *testing.T) {
	dir := t.TempDir()
	for round := range 20 {
		path := filepath.Join(dir, fmt.Sprint(round))
		var made atomic.Int64
		var winner atomic.Value
		var wait sync.WaitGroup
		for i := range 8 {
			wait.Go(func() {
				mine := fmt.Sprint(i)
				switch err := Create(path, 0o644, text(mine)); {
				case err == nil:
					made.Add(1)
					winner.Store(mine)
				case !errors.Is(err, fs.ErrExist):
					t.Error(err)
				}
			})
		}
		wait.Wait()
		if made.Load() != 1 || content(t, path) != winner.Load() {
			t.Fatalf("%d made the file, which holds %q", made.Load(), content(t, path))
		}
	}
	if got := listing(t, dir); len(got) != 20 {
		t.Errorf("the folder holds %q", got)
	}
}

// What a killed process leaves is removed by the next one that writes in the
// folder; what a living one writes is not.
func TestLeftoversAreSwept(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("kept for a minute there")
	}
	dir := t.TempDir()
	alive, err := newTemporary(dir, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer alive.file.Close()
	for i := range 3 {
		os.WriteFile(filepath.Join(dir, prefix+fmt.Sprint(i)+suffix), []byte("half"), 0o600)
	}
	kept := []string{filepath.Base(alive.path), ".bonnetbook-notes", "x.tmp"}
	os.WriteFile(filepath.Join(dir, kept[1]), nil, 0o600)
	os.WriteFile(filepath.Join(dir, kept[2]), nil, 0o600)
	if err := Write(filepath.Join(dir, "f"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	want := append(kept, "f")
	slices.Sort(want)
	if got := listing(t, dir); !slices.Equal(got, want) {
		t.Errorf("the folder holds %q, want %q", got, want)
	}
}

// Processes that are killed again and again while they write leave no more
// than the last of them.
func TestLeftoversDontAddUp(t *testing.T) {
	dir := t.TempDir()
	for i := range 10 {
		c := exec.Command(must(os.Executable()))
		c.Env = append(os.Environ(), untilKilled+"="+filepath.Join(dir, "f"))
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(30+5*i) * time.Millisecond)
		c.Process.Kill()
		c.Wait()
		if got := listing(t, dir); len(got) > 2 {
			t.Fatalf("the folder holds %q", got)
		}
	}
}
