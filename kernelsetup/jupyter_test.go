package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// Beside a Node.js that is not Debian's its npm can't be installed: where npm is
// there it is not asked for, as the browser that is missing is.
func TestNoPackageOfWhatIsThere(t *testing.T) {
	sh, err := exec.LookPath("sh")
	if err != nil || runtime.GOOS != "linux" {
		t.Skip("no sh, or no Linux")
	}
	script, err := filepath.Abs("jupyter.sh")
	if err != nil {
		t.Fatal(err)
	}
	bin := t.TempDir()
	for _, tool := range []string{"sed", "readlink", "mktemp", "rm", "tail", "cat"} {
		path, err := exec.LookPath(tool)
		if err != nil {
			t.Skip(err)
		}
		if err := os.Symlink(path, filepath.Join(bin, tool)); err != nil {
			t.Fatal(err)
		}
	}
	asked := filepath.Join(bin, "asked")
	stub := func(name, does string) {
		if err := os.WriteFile(filepath.Join(bin, name), []byte("#!"+sh+"\n"+does+"\n"), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	stub("id", "echo 0")
	stub("apt-get", `[ "$1" = update ] || echo "$@" >'`+asked+`'`)
	stub("npm", "")
	cmd := exec.Command(sh, script, "need-frontends")
	cmd.Env = []string{"PATH=" + bin}
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	words, err := os.ReadFile(asked)
	if err != nil {
		t.Fatal(err)
	}
	packages := strings.Fields(string(words))
	if !slices.Contains(packages, "chromium") || slices.Contains(packages, "npm") {
		t.Errorf("asked for %q", packages)
	}
}
