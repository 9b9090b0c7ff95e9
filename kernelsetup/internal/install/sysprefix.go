package install

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"time"
)

// pythons are the names under which Python is on the PATH.
var pythons = []string{"python3", "python"}

// SysPrefix returns the installation prefix (sys.prefix) of the Python
// environment that is active (VIRTUAL_ENV, CONDA_PREFIX), else that of the
// first Python on the PATH. Jupyter looks below it for the kernels of that
// environment. Python itself is asked, since it alone knows.
func SysPrefix() (string, error) {
	var candidates []string
	for _, key := range []string{"VIRTUAL_ENV", "CONDA_PREFIX"} {
		prefix := os.Getenv(key)
		if prefix == "" {
			continue
		}
		python := pythonIn(prefix)
		if python == "" {
			return "", fmt.Errorf("%s is %s, but there is no Python in it; unset %s, or name the place by --prefix", key, prefix, key)
		}
		candidates = append(candidates, python)
	}
	for _, name := range pythons {
		if path, err := exec.LookPath(name); err == nil {
			candidates = append(candidates, path)
		}
	}
	if len(candidates) == 0 {
		return "", errors.New("no Python environment is active and there is no python3 on the PATH to ask for its sys.prefix; activate one, or name the place by --prefix")
	}
	return askPrefix(candidates[0])
}

// pythonIn returns the Python of an environment, or "".
func pythonIn(prefix string) string {
	folder, ext := "bin", ""
	if runtime.GOOS == "windows" {
		folder, ext = "Scripts", ".exe"
	}
	for _, dir := range []string{filepath.Join(prefix, folder), prefix} {
		for _, name := range pythons {
			path := filepath.Join(dir, name+ext)
			if info, err := os.Stat(path); err == nil && !info.IsDir() {
				return path
			}
		}
	}
	return ""
}

// askPrefix asks a Python for its prefix.
func askPrefix(python string) (string, error) {
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	out, err := exec.CommandContext(ctx, python, "-c", "import sys; print(sys.prefix)").Output()
	prefix := strings.TrimRight(string(out), "\r\n")
	if err != nil {
		return "", fmt.Errorf("%s, asked for its sys.prefix: %w; name the place by --prefix", python, err)
	}
	if !filepath.IsAbs(prefix) {
		return "", fmt.Errorf("%s gave %q for its sys.prefix, want a folder; name the place by --prefix", python, prefix)
	}
	return prefix, nil
}
