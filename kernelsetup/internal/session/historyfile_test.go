//go:build unix

package session

import (
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// What is no file neither holds up the kernel nor is changed, and the session
// still has its own history.
func TestHistoryThatIsNoFile(t *testing.T) {
	dir := t.TempDir()
	pipe, folder, socket, link := filepath.Join(dir, "pipe"), filepath.Join(dir, "folder"), filepath.Join(dir, "s"), filepath.Join(dir, "link")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Skip(err)
	}
	os.Mkdir(folder, 0o700)
	ln, err := net.Listen("unix", socket)
	if err != nil {
		t.Skip(err)
	}
	defer ln.Close()
	os.Symlink(pipe, link)
	for _, path := range []string{pipe, folder, socket, link, "/dev/zero", "/dev/full", "/dev/tty", filepath.Join(pipe, "below")} {
		before, _ := os.Lstat(path)
		done := make(chan []entry, 1)
		go func() {
			h := openHistory(path)
			h.add(1, "x := 1", "")
			h.find(func(_ int, all []entry) []entry { done <- append([]entry(nil), all...); return nil })
			h.close()
		}()
		select {
		case all := <-done:
			if len(all) != 1 {
				t.Errorf("%s: %d entries", path, len(all))
			}
		case <-time.After(2 * time.Second):
			t.Fatalf("%s holds up the history", path)
		}
		if after, _ := os.Lstat(path); before != nil && (after == nil || after.Mode() != before.Mode()) {
			t.Errorf("%s became %v", path, after)
		}
	}
}

// A file far too large is read at its end and cut back.
func TestHistoryIsCutBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.jsonl")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	io.WriteString(f, strings.Repeat("x", 3*maxLine)+"\n")
	f.Truncate(maxFile) // a hole
	f.Seek(0, io.SeekEnd)
	fmt.Fprintln(f)
	for i := range 10 {
		line, _ := json.Marshal(entry{Session: 7, Line: i, Source: "x"})
		fmt.Fprintf(f, "%s\n", line)
	}
	f.Close()
	os.Chmod(path, 0o640)
	openHistory(path).close()
	info, err := os.Stat(path)
	if err != nil || info.Size() > 1000 || info.Mode().Perm() != fs.FileMode(0o640) {
		t.Errorf("%v, %v", info, err)
	}
	h := openHistory(path)
	defer h.close()
	h.find(func(n int, all []entry) []entry {
		if n != 9 || len(all) != 10 {
			t.Errorf("session %d with %d entries", n, len(all))
		}
		return nil
	})
}
