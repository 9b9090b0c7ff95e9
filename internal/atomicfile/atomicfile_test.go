package atomicfile

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"
)

// listing lists what is in a folder; a temporary file would show here.
func listing(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var list []string
	for _, e := range entries {
		list = append(list, e.Name())
	}
	return list
}

func content(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func TestNewAndReplaced(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "page.html")
	for _, text := range []string{"one", "two, longer", ""} {
		if err := Write(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if got := content(t, path); got != text {
			t.Errorf("file holds %q, want %q", got, text)
		}
	}
	if got := listing(t, dir); !slices.Equal(got, []string{"page.html"}) {
		t.Errorf("the folder holds %q", got)
	}
}

func TestModeIsKept(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no such modes")
	}
	for _, mode := range []fs.FileMode{0o600, 0o640, 0o664, 0o755} {
		path := filepath.Join(t.TempDir(), "f")
		if err := os.WriteFile(path, []byte("old"), 0o600); err != nil {
			t.Fatal(err)
		}
		os.Chmod(path, mode)
		if err := Write(path, []byte("new"), 0o644); err != nil {
			t.Fatal(err)
		}
		info, err := os.Stat(path)
		if err != nil || info.Mode().Perm() != mode {
			t.Errorf("mode %v became %v, %v", mode, info.Mode(), err)
		}
	}
}

// A new file's mode is what the system's own tools give: perm less the umask.
func TestNewFileFollowsTheUmask(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no umask")
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "plain"), nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if err := Write(filepath.Join(dir, "ours"), nil, 0o666); err != nil {
		t.Fatal(err)
	}
	want, _ := os.Stat(filepath.Join(dir, "plain"))
	got, _ := os.Stat(filepath.Join(dir, "ours"))
	if got.Mode() != want.Mode() {
		t.Errorf("mode %v, os.WriteFile gives %v", got.Mode(), want.Mode())
	}
}

func TestLinksStay(t *testing.T) {
	dir := t.TempDir()
	os.Mkdir(filepath.Join(dir, "far"), 0o755)
	target := filepath.Join(dir, "far", "real.ipynb")
	link := filepath.Join(dir, "link.ipynb")
	second := filepath.Join(dir, "second.ipynb")
	if err := os.Symlink(filepath.Join("far", "real.ipynb"), link); err != nil {
		t.Skip("no symbolic links here:", err)
	}
	os.Symlink(link, second)
	for _, text := range []string{"made through the link", "replaced through the link"} {
		if err := Write(second, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if got := content(t, target); got != text {
			t.Errorf("the link's target holds %q, want %q", got, text)
		}
	}
	for _, l := range []string{link, second} {
		if info, err := os.Lstat(l); err != nil || info.Mode()&fs.ModeSymlink == 0 {
			t.Errorf("%s is no link any more: %v, %v", l, info, err)
		}
	}
	if got := listing(t, filepath.Join(dir, "far")); !slices.Equal(got, []string{"real.ipynb"}) {
		t.Errorf("the target's folder holds %q", got)
	}
	circle := filepath.Join(dir, "circle")
	os.Symlink(circle, circle)
	if err := Write(circle, nil, 0o644); err == nil || !strings.Contains(err.Error(), "circle") {
		t.Errorf("a circle of links: %v", err)
	}
}

func TestRefused(t *testing.T) {
	dir := t.TempDir()
	folder := filepath.Join(dir, "folder")
	os.Mkdir(folder, 0o755)
	if err := Write(folder, nil, 0o644); err == nil || !strings.Contains(err.Error(), folder) {
		t.Errorf("written over a folder: %v", err)
	}
	missing := filepath.Join(dir, "missing", "f")
	if err := Write(missing, nil, 0o644); !errors.Is(err, fs.ErrNotExist) || !strings.Contains(err.Error(), missing) {
		t.Errorf("written into a missing folder: %v", err)
	}
	if got := listing(t, dir); !slices.Equal(got, []string{"folder"}) {
		t.Errorf("the folder holds %q", got)
	}
	if runtime.GOOS == "windows" || os.Getuid() == 0 {
		t.Skip("nothing is closed to root")
	}
	closed := filepath.Join(dir, "closed")
	os.WriteFile(closed, []byte("old"), 0o400)
	if err := Write(closed, []byte("new"), 0o644); !errors.Is(err, fs.ErrPermission) || content(t, closed) != "old" {
		t.Errorf("a file closed to us: %v, holds %q", err, content(t, closed))
	}
}

func TestPipesAreWrittenStraight(t *testing.T) {
	if _, err := os.Stat("/dev/stdout"); err != nil {
		t.Skip("no /dev/stdout here")
	}
	if err := Write(os.DevNull, []byte("x"), 0o644); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(os.DevNull); err != nil || info.Mode().IsRegular() {
		t.Fatalf("%s became %v", os.DevNull, info)
	}
	// Standard output of a program of its own is a pipe.
	c := exec.Command(must(os.Executable()), "-test.run=TestPipesAreWrittenStraight")
	c.Env = append(os.Environ(), toStdout+"=1")
	out, err := c.Output()
	if err != nil || !bytes.HasPrefix(out, []byte("through the pipe")) {
		t.Errorf("the pipe brought %q, %v", out, err)
	}
}

// toStdout and untilKilled make the test binary write and nothing else.
const toStdout, untilKilled = "ATOMICFILE_TEST_TO_STDOUT", "ATOMICFILE_TEST_UNTIL_KILLED"

func TestMain(m *testing.M) {
	if os.Getenv(toStdout) != "" {
		if err := Write("/dev/stdout", []byte("through the pipe"), 0o644); err != nil {
			os.Exit(1)
		}
		os.Exit(0)
	}
	if path := os.Getenv(untilKilled); path != "" {
		// Not for ever: a test that is itself killed leaves nobody to kill this.
		stop := time.Now().Add(20 * time.Second)
		for i := byte('a'); time.Now().Before(stop); i = 'a' + (i-'a'+1)%2 {
			if err := Write(path, bytes.Repeat([]byte{i}, whole), 0o644); err != nil {
				os.Exit(1)
			}
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

const whole = 1 << 20

// A writer killed at any moment, and a reader at any moment, leaves and finds
// a whole file: one megabyte of one letter.
func TestKilledAtAnyMoment(t *testing.T) {
	path := filepath.Join(t.TempDir(), "f")
	if err := Write(path, bytes.Repeat([]byte{'a'}, whole), 0o644); err != nil {
		t.Fatal(err)
	}
	check := func() {
		t.Helper()
		data, err := os.ReadFile(path)
		if err != nil || len(data) != whole || bytes.Count(data, data[:1]) != whole {
			t.Fatalf("%d bytes, %v: not one whole file", len(data), err)
		}
	}
	for i := range 15 {
		c := exec.Command(must(os.Executable()))
		c.Env = append(os.Environ(), untilKilled+"="+path)
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { c.Process.Kill() })
		for end := time.Now().Add(time.Duration(10+7*i) * time.Millisecond); time.Now().Before(end); {
			check()
		}
		c.Process.Kill()
		c.Wait()
		check()
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}
