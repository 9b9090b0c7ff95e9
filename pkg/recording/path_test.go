package recording_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// A leading ~ is the home folder for a log, an archive and a layout, and what
// is not found says from where it was looked for.
func TestPathsAsPeopleWriteThem(t *testing.T) {
	home := t.TempDir()
	t.Setenv(map[bool]string{true: "USERPROFILE", false: "HOME"}[runtime.GOOS == "windows"], home)
	log := "time (s),T1 (°C)\n"
	for i := range 30 {
		log += []string{"0", "1", "2"}[i/10] + []string{"0", "1", "2", "3", "4", "5", "6", "7", "8", "9"}[i%10] + ",21.5\n"
	}
	if err := os.WriteFile(filepath.Join(home, "log.csv"), []byte(log), 0o600); err != nil {
		t.Fatal(err)
	}
	r, err := recording.Open("~/log.csv", recording.Options{})
	if err != nil || r.File != "~/log.csv" {
		t.Fatalf("%v, %v", r, err)
	}
	if err := r.Layout.Save("~/layout.toml"); err != nil {
		t.Fatal(err)
	}
	if _, err := recording.Load("~/layout.toml"); err != nil {
		t.Error(err)
	}
	at, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for path, says := range map[string]string{"none.csv": at, "~/none.csv": "there is no such file", `logs\may.csv`: "as Windows writes it"} {
		_, err := recording.Open(path, recording.Options{})
		if !errors.Is(err, fs.ErrNotExist) || !strings.Contains(err.Error(), says) && runtime.GOOS != "windows" || !strings.Contains(err.Error(), path) {
			t.Errorf("%s: %v", path, err)
		}
	}
}
