package install

import (
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// The prefix is what Python's own venv made, and the kernel goes below it.
func TestSysPrefixOfAnEnvironment(t *testing.T) {
	python, err := exec.LookPath("/usr/bin/python3")
	if err != nil {
		if python, err = exec.LookPath("python3"); err != nil {
			t.Skip("no python3 to make an environment with")
		}
	}
	_, exe := place(t)
	env, err := filepath.EvalSymlinks(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	env = filepath.Join(env, "my environment")
	if out, err := exec.Command(python, "-m", "venv", "--without-pip", env).CombinedOutput(); err != nil {
		t.Skipf("no environment can be made: %v\n%s", err, out)
	}
	path := os.Getenv("PATH")
	for _, c := range []struct{ name, key, value string }{
		{"active", "VIRTUAL_ENV", env},
		{"active, as conda says it", "CONDA_PREFIX", env},
		{"first on the PATH", "PATH", filepath.Join(env, "bin") + string(os.PathListSeparator) + path},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Setenv(c.key, c.value)
			got, err := SysPrefix()
			if err != nil || got != env {
				t.Fatalf("got %q, %v; want %q", got, err, env)
			}
			dir, err := Install(PrefixDir(got), exe)
			if err != nil || dir != filepath.Join(env, "share", "jupyter", "kernels", Name) {
				t.Fatalf("installed in %q, %v", dir, err)
			}
			findings := Check()
			if !Registered(findings) {
				t.Errorf("not found again: %+v", findings)
			}
			// A jupyter of another Python does not look into the environment.
			if _, err := exec.LookPath("jupyter"); err == nil && !strings.Contains(findings[0].Next, "does not look there") {
				t.Errorf("not told that another Jupyter is on the PATH: %+v", findings[0])
			}
			if _, err := Remove(PrefixDir(got), Name); err != nil {
				t.Error(err)
			}
		})
	}
}

func TestSysPrefixSaysWhatToDo(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("stand-ins for Python are shell scripts")
	}
	place(t)
	refused := func(want string) {
		t.Helper()
		if got, err := SysPrefix(); err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "--prefix") {
			t.Errorf("got %q, %v; want an error with %q and --prefix", got, err, want)
		}
	}
	bin := t.TempDir()
	t.Setenv("PATH", bin)
	refused("no python3 on the PATH")
	script := func(body string) {
		if err := os.WriteFile(filepath.Join(bin, "python3"), []byte("#!/bin/sh\n"+body), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	script("exit 9\n")
	refused("exit status 9")
	script("echo relative\n")
	refused(`"relative"`)
	t.Setenv("VIRTUAL_ENV", t.TempDir())
	refused("no Python in it")
}

// A place that cannot be written to is named, with what to do instead.
func TestInstallIntoAClosedPlace(t *testing.T) {
	data, exe := place(t)
	if err := os.WriteFile(data, []byte("a file where the folder should be"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Install(data, exe); err == nil || !strings.Contains(err.Error(), data) || !strings.Contains(err.Error(), "--dir") {
		t.Errorf("got %v", err)
	}
	os.Remove(data)
	if os.Getuid() == 0 {
		t.Skip("no folder is closed to root")
	}
	os.Mkdir(data, 0o555)
	if _, err := Install(data, exe); !errors.Is(err, fs.ErrPermission) {
		t.Errorf("got %v", err)
	}
}
