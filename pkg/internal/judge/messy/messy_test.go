package messy

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestSameSeedSameFolder(t *testing.T) {
	for _, seed := range []uint64{3, 13} {
		a, err := Make(seed, "")
		if err != nil {
			t.Fatal(err)
		}
		b, err := Make(seed, "")
		if err != nil {
			t.Fatal(err)
		}
		if len(a.files) != len(b.files) {
			t.Fatalf("seed %d: %d and %d files", seed, len(a.files), len(b.files))
		}
		for i := range a.files {
			if a.files[i].path != b.files[i].path || !bytes.Equal(a.files[i].data, b.files[i].data) {
				t.Errorf("seed %d: %s differs from %s", seed, a.files[i].path, b.files[i].path)
			}
		}
	}
}

// Every rig makes a folder in which each file is told of in the truth, each
// drive has its files, and paths are unlike even where case does not count.
func TestTruthAndFolderAgree(t *testing.T) {
	for i, rig := range Rigs() {
		f, err := Make(uint64(200+i), rig.Name)
		if err != nil {
			t.Fatal(err)
		}
		seen := map[string]bool{}
		for _, x := range f.files {
			low := strings.ToLower(x.path)
			if seen[low] {
				t.Errorf("%s: %s twice", rig.Name, x.path)
			}
			seen[low] = true
			if !slices.ContainsFunc(f.Truth.Files, func(ft FileTruth) bool { return ft.Path == x.path }) {
				t.Errorf("%s: %s is not in the truth", rig.Name, x.path)
			}
		}
		for _, ft := range f.Truth.Files {
			if !seen[strings.ToLower(ft.Path)] {
				t.Errorf("%s: the truth speaks of %s, which is not there", rig.Name, ft.Path)
			}
		}
		for _, d := range f.Truth.Drives {
			for _, name := range d.Files {
				if !seen[strings.ToLower(name)] {
					t.Errorf("%s: drive %s has %s, which is not there", rig.Name, d.Name, name)
				}
			}
		}
		if rig.NoPhone && slices.ContainsFunc(f.Truth.Devices, func(d DeviceTruth) bool { return d.Name == "phone" }) {
			t.Errorf("%s has a phone", rig.Name)
		}
	}
	if _, err := Make(1, "steam engine"); err == nil {
		t.Error("no error for a rig that is not there")
	}
}

func TestWriteOverwritesNothing(t *testing.T) {
	f, err := Make(11, "")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "new")
	if err := f.Write(dir); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(filepath.Join(dir, "truth", "truth.json"))
	if err != nil {
		t.Fatal(err)
	}
	var truth Truth
	if err := json.Unmarshal(data, &truth); err != nil || truth.Seed != 11 || len(truth.Drives) == 0 {
		t.Errorf("truth: %v, %+v", err, truth)
	}
	if err := f.Write(dir); err == nil || !strings.Contains(err.Error(), "not empty") {
		t.Errorf("second writing: %v", err)
	}
}
