//go:build unix

package recording

import (
	"net"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A log or a layout that is no file says so at once: opening a pipe waits for
// ever, a device never ends.
func TestWhatIsNoFile(t *testing.T) {
	dir := t.TempDir()
	pipe, folder, socket, link := filepath.Join(dir, "pipe"), filepath.Join(dir, "folder"), filepath.Join(dir, "s"), filepath.Join(dir, "link.csv")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Skip(err)
	}
	os.Mkdir(folder, 0o700)
	os.Symlink("pipe", link)
	if ln, err := net.Listen("unix", socket); err == nil {
		defer ln.Close()
	}
	for what, open := range map[string]func(string) error{
		"Open": func(path string) error { _, err := Open(path, Options{}); return err },
		"Load": func(path string) error { _, err := Load(path); return err },
	} {
		for _, path := range []string{pipe, folder, socket, link, "/dev/zero", "/dev/tty", "/dev/full", "/dev/null"} {
			done := make(chan error, 1)
			go func() { done <- open(path) }()
			select {
			case err := <-done:
				if err == nil || !strings.Contains(err.Error(), path) {
					t.Errorf("%s(%s): %v", what, path, err)
				}
			case <-time.After(10 * time.Second):
				t.Fatalf("%s(%s) waits", what, path)
			}
		}
	}
}
