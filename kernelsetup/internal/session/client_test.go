package session_test

import (
	"os/exec"
	"path/filepath"
	"testing"
)

// TestRealClient drives a kernel with a trivial language through Jupyter's own
// client library and its kernel test suite.
func TestRealClient(t *testing.T) {
	const python = "python3"
	path := ""
	for _, candidate := range []string{"/usr/bin/python3", python} {
		if exec.Command(candidate, "-c", "import jupyter_client, jupyter_kernel_test").Run() == nil {
			path = candidate
			break
		}
	}
	if path == "" {
		t.Skip("no python3 with jupyter_client and jupyter_kernel_test; on Debian: apt-get install python3-jupyter-client python3-jupyter-kernel-test")
	}
	program := filepath.Join(t.TempDir(), "trivial kernel")
	if out, err := exec.Command("go", "build", "-o", program, "./testdata/trivial").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	out, err := exec.Command(path, "testdata/client.py", program).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	t.Logf("%s", out)
}
