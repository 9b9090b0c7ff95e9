package notebooks

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/exercise"
)

// The course is written and run as somebody does who has the program alone: no
// Go, no network where the system lets us take it away, a folder with a space
// and letters beyond ASCII. The solution copies solve every exercise.
func TestCourse(t *testing.T) {
	exe, err := program()
	if err != nil {
		t.Fatal(err)
	}
	home := filepath.Join(scratch, "Zuhause bei Jörg")
	if err := os.MkdirAll(home, 0o755); err != nil {
		t.Fatal(err)
	}
	var offline []string
	if unshare, err := exec.LookPath("unshare"); err == nil && exec.Command(unshare, "-rn", "true").Run() == nil {
		offline = []string{unshare, "-rn"}
	}
	user := func(args ...string) string {
		t.Helper()
		args = append(append(offline, exe), args...)
		cmd := exec.Command(args[0], args[1:]...)
		cmd.Dir = home
		cmd.Env = []string{"HOME=" + home, "PATH=/nonexistent", "TMPDIR=" + scratch}
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%q: %v\n%s", args, err, out)
		}
		return string(out)
	}
	const folder = "Mein Kurs – größer"
	if said := user("course", folder); !strings.Contains(said, folder) {
		t.Errorf("course says %q", said)
	}
	first := filepath.Join(home, folder, "notebooks", "01_see_first_drive.ipynb")
	user("run", "-q", "-o", "ran/", first)
	judge(t, first, read(t, filepath.Join(home, "ran", filepath.Base(first))))
	solutions, err := filepath.Glob(filepath.Join(home, folder, "solutions", "*.ipynb"))
	if err != nil || len(solutions) == 0 {
		t.Fatal(solutions, err)
	}
	for _, path := range solutions {
		user("run", "-q", "-keep-going", "-o", "solved/", path)
		ran := read(t, filepath.Join(home, "solved", filepath.Base(path)))
		judge(t, path, ran)
		asked := 0
		for _, j := range judgementsOf(t, ran) {
			asked++
			if !j.Passed {
				t.Errorf("%s: the solution of %s does not pass: %s", path, j.Exercise, j.Says)
			}
		}
		if asked < 3 {
			t.Errorf("%s: %d exercises checked", path, asked)
		}
	}
}

// judgementsOf reads what a notebook's checks said.
func judgementsOf(t *testing.T, f file) (all []exercise.Judgement) {
	t.Helper()
	for _, c := range f.code() {
		for _, o := range c.Outputs {
			data, ok := o.Data[exercise.MIME]
			if !ok {
				continue
			}
			text, err := json.Marshal(data)
			if err != nil {
				t.Fatal(err)
			}
			var j exercise.Judgement
			if err := json.Unmarshal(text, &j); err != nil {
				t.Fatal(err)
			}
			all = append(all, j)
		}
	}
	return all
}
