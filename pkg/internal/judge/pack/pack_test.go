package pack

import (
	"archive/zip"
	"bytes"
	"io"
	"testing"
)

// The packs that the program carries are those of their seeds: the archives'
// files, not their bytes, since packing may differ from one Go to the next.
func TestPacksAreThoseOfTheirSeeds(t *testing.T) {
	for _, p := range All() {
		files, err := p.Files()
		if err != nil {
			t.Fatal(err)
		}
		z, err := zip.OpenReader("../../../../testdata/packs/" + p.Name + ".zip")
		if err != nil {
			t.Fatal(err)
		}
		defer z.Close()
		if len(z.File) != len(files) {
			t.Errorf("pack %s has %d files, its seed makes %d", p.Name, len(z.File), len(files))
		}
		for name, want := range files {
			f, err := z.Open(p.Name + "/" + name)
			if err != nil {
				t.Errorf("pack %s: %v", p.Name, err)
				continue
			}
			if got, err := io.ReadAll(f); err != nil || !bytes.Equal(got, want) {
				t.Errorf("pack %s: %s is not what seed %d makes (%v); run: go run ./pkg/internal/judge/write -kind pack -o testdata/packs", p.Name, name, p.Seed, err)
			}
		}
	}
}

// A recipe that asks for what there is not fails.
func TestNoSuchDrive(t *testing.T) {
	if _, err := (Pack{Name: "x", Seed: 1, Sides: 1, Odd: 2}).Files(); err == nil {
		t.Error("no error for drive 3 of 2")
	}
}
