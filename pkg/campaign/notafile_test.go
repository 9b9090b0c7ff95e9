//go:build unix

package campaign_test

import (
	"net"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
)

// A campaign, its layout, its log or its folder that is no file says so at
// once: opening a pipe waits for ever, a device never ends.
func TestWhatIsNoFile(t *testing.T) {
	dir := t.TempDir()
	pipe, folder, socket := filepath.Join(dir, "pipe"), filepath.Join(dir, "folder"), filepath.Join(dir, "s")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Skip(err)
	}
	os.Mkdir(folder, 0o700)
	if ln, err := net.Listen("unix", socket); err == nil {
		defer ln.Close()
	}
	link := filepath.Join(dir, "link.toml")
	os.Symlink("pipe", link)
	paths := []string{pipe, folder, socket, link, "/dev/zero", "/dev/tty", "/dev/full", "/proc/self/mem"}
	for what, open := range map[string]func(string) error{
		"campaign.Open":  func(path string) error { _, err := campaign.Open(path); return err },
		"campaign.Draft": func(path string) error { _, err := campaign.Draft(path); return err },
	} {
		for _, path := range paths {
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
