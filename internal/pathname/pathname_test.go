package pathname

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

func TestExpand(t *testing.T) {
	home, err := os.UserHomeDir()
	if err != nil {
		t.Skip(err)
	}
	for path, want := range map[string]string{"~": home, "~/logs/may": filepath.Join(home, "logs", "may"), "logs/~": "logs/~", "~other/x": "~other/x", "": ""} {
		if got := Expand(path); got != want {
			t.Errorf("%q: %q, want %q", path, got, want)
		}
	}
}

func TestSought(t *testing.T) {
	at, err := os.Getwd()
	if err != nil {
		t.Skip(err)
	}
	if s := Sought("logs/may"); !strings.Contains(s, at) {
		t.Errorf("%q does not name %q", s, at)
	}
	if s := Sought(at); s != "" {
		t.Errorf("an absolute path: %q", s)
	}
	if s := Sought(`C:\logs`); runtime.GOOS != "windows" && !strings.Contains(s, "Windows") {
		t.Errorf("%q", s)
	}
}
