//go:build unix

package nbformat

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A notebook that is no file is refused at once, with its name and what to do:
// opening a pipe waits for ever, a device never ends (POSIX.1-2017, open).
func TestWhatIsNoFile(t *testing.T) {
	dir := t.TempDir()
	pipe, link := filepath.Join(dir, "pipe.ipynb"), filepath.Join(dir, "link.ipynb")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Skip(err)
	}
	if err := os.Symlink("pipe.ipynb", link); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{pipe: "not a regular file", link: "not a regular file", "/dev/zero": "not a regular file", dir: "is a folder"} {
		done := make(chan error, 1)
		go func() {
			_, err := ReadFile(path)
			done <- err
		}()
		select {
		case err := <-done:
			if err == nil || !strings.Contains(err.Error(), path) || !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %v", path, err)
			}
		case <-time.After(20 * time.Second):
			t.Errorf("%s: still waiting", path)
		}
	}
}
