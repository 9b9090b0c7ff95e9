package simulate_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

// The demo in testdata/demo is what the recorded seed makes, byte by byte.
func TestDemoIsReproduced(t *testing.T) {
	files, err := simulate.DemoFiles(simulate.DemoSeed)
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join("..", "..", "testdata", "demo")
	stored, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range stored {
		old, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(old, files[e.Name()]) {
			t.Errorf("%s differs from what seed %d makes; run: go run ./testdata/generate", e.Name(), simulate.DemoSeed)
		}
		delete(files, e.Name())
	}
	for name := range files {
		t.Errorf("%s is missing; run: go run ./testdata/generate", name)
	}
}

// Another seed gives other files, the same seed the same.
func TestSeedDecides(t *testing.T) {
	a, _ := simulate.DemoFiles(5)
	b, _ := simulate.DemoFiles(5)
	c, _ := simulate.DemoFiles(6)
	const name = "open-1-logger-a.csv"
	if !bytes.Equal(a[name], b[name]) || bytes.Equal(a[name], c[name]) {
		t.Error("a seed does not decide the file")
	}
}
