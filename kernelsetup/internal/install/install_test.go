package install

import (
	"encoding/json"
	"errors"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// place is an empty user's home with a program at a path with spaces.
func place(t *testing.T) (data, exe string) {
	t.Helper()
	home := t.TempDir()
	for _, key := range []string{"JUPYTER_DATA_DIR", "JUPYTER_PATH", "XDG_DATA_HOME", "VIRTUAL_ENV", "CONDA_PREFIX"} {
		t.Setenv(key, "")
	}
	t.Setenv("HOME", home)
	data = filepath.Join(home, "jupyter data")
	exe = filepath.Join(home, "my programs", "bonnetbook")
	os.MkdirAll(filepath.Dir(exe), 0o755)
	if err := os.WriteFile(exe, []byte("#!/bin/sh\n"), 0o755); err != nil {
		t.Fatal(err)
	}
	return data, exe
}

func TestInstallAndRemove(t *testing.T) {
	data, exe := place(t)
	t.Setenv("JUPYTER_DATA_DIR", data)
	for range 2 { // again replaces our own
		dir, err := Install(data, exe)
		if err != nil {
			t.Fatal(err)
		}
		var s struct {
			Argv          []string `json:"argv"`
			InterruptMode string   `json:"interrupt_mode"`
			Language      string   `json:"language"`
		}
		raw, err := os.ReadFile(filepath.Join(dir, "kernel.json"))
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(raw, &s); err != nil {
			t.Fatal(err)
		}
		if s.Argv[0] != exe || s.Argv[2] != "{connection_file}" || s.InterruptMode != "message" || s.Language != "go" {
			t.Errorf("kernel.json says %+v", s)
		}
		for name, size := range map[string]int{"logo-32x32.png": 32, "logo-64x64.png": 64} {
			f, err := os.Open(filepath.Join(dir, name))
			if err != nil {
				t.Fatal(err)
			}
			c, err := png.DecodeConfig(f)
			f.Close()
			if err != nil || c.Width != size || c.Height != size {
				t.Errorf("%s: %v, %v", name, c, err)
			}
		}
	}
	var found *Kernel
	for _, k := range List() {
		if k.Name == Name && !k.Shadowed {
			found = &k
		}
	}
	if found == nil || !found.Ours || found.Missing || found.Program != exe {
		t.Errorf("listed as %+v", found)
	}
	os.Remove(exe)
	for _, f := range Check() {
		if f.What == "kernel in Jupyter" && (f.OK || !strings.Contains(f.State, "gone")) {
			t.Errorf("program removed, yet %+v", f)
		}
	}
	dir, err := Remove(data, Name)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(dir); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("folder is still there: %v", err)
	}
	if _, err := Remove(data, Name); err == nil || !strings.Contains(err.Error(), "nothing to remove") {
		t.Errorf("second removal: %v", err)
	}
}

func TestForeignFilesStay(t *testing.T) {
	data, exe := place(t)
	dir := filepath.Join(data, "kernels", Name)
	os.MkdirAll(dir, 0o755)
	spec := filepath.Join(dir, "kernel.json")
	const foreign = `{"argv":["other"],"display_name":"Other"}`
	os.WriteFile(spec, []byte(foreign), 0o644)
	if _, err := Install(data, exe); !errors.Is(err, ErrNotOurs) || !strings.Contains(err.Error(), dir) {
		t.Errorf("install over a foreign kernel: %v", err)
	}
	if _, err := Remove(data, Name); !errors.Is(err, ErrNotOurs) {
		t.Errorf("removal of a foreign kernel: %v", err)
	}
	if got, _ := os.ReadFile(spec); string(got) != foreign {
		t.Errorf("foreign file became %s", got)
	}

	os.RemoveAll(dir)
	if _, err := Install(data, exe); err != nil {
		t.Fatal(err)
	}
	note := filepath.Join(dir, "note.txt")
	os.WriteFile(note, []byte("mine"), 0o644)
	if _, err := Remove(data, Name); err == nil || !strings.Contains(err.Error(), "note.txt") {
		t.Errorf("removal beside a foreign file: %v", err)
	}
	if got, _ := os.ReadFile(note); string(got) != "mine" {
		t.Error("a foreign file was removed")
	}
}

func TestTemporaryProgramsAreRefused(t *testing.T) {
	data, _ := place(t)
	exe := filepath.Join(t.TempDir(), "go-build123", "b001", "exe", "kernelsetup")
	os.MkdirAll(filepath.Dir(exe), 0o755)
	os.WriteFile(exe, nil, 0o755)
	if _, err := Install(data, exe); err == nil || !strings.Contains(err.Error(), "go build") {
		t.Errorf("error %v, want advice to build", err)
	}
	if _, err := Install(data, filepath.Join(data, "nothing")); err == nil {
		t.Error("a program that is not there was installed")
	}
}

// Jupyter's own tool must find the kernel where this package puts it.
func TestJupyterFindsIt(t *testing.T) {
	if runtime.GOOS != "linux" || exec.Command("/usr/bin/python3", "-c", "import jupyter_client").Run() != nil {
		t.Skip("no /usr/bin/python3 with jupyter_client; on Debian: apt-get install python3-jupyter-client")
	}
	_, exe := place(t)
	data, err := UserDir()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Install(data, exe); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("/usr/bin/python3", "-c",
		"from jupyter_client.kernelspec import get_kernel_spec as g; print(g('bonnetbook').argv[0])").CombinedOutput()
	if err != nil || strings.TrimSpace(string(out)) != exe {
		t.Errorf("jupyter_client finds %s, %v; want %s", out, err, exe)
	}
}
