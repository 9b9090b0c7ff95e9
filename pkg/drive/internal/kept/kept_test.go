package kept

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"
)

func TestWholeOrNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "folder", "a")
	if _, ok := Load(path); ok {
		t.Fatal("there is something before anything was kept")
	}
	want := []byte("found once")
	Save(path, want)
	if got, ok := Load(path); !ok || !bytes.Equal(got, want) {
		t.Fatalf("%q, %v", got, ok)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for i := range data {
		bad := bytes.Clone(data)
		bad[i] ^= 4
		if err := os.WriteFile(path, bad, 0o600); err != nil {
			t.Fatal(err)
		}
		if got, ok := Load(path); ok {
			t.Fatalf("byte %d changed: %q was believed", i, got)
		}
		if err := os.WriteFile(path, data[:i], 0o600); err != nil {
			t.Fatal(err)
		}
		if got, ok := Load(path); ok {
			t.Fatalf("cut after %d bytes: %q was believed", i, got)
		}
	}
	Save(path, make([]byte, MostSize))
	if _, ok := Load(path); ok {
		t.Error("more than the most was kept")
	}
}

func TestTheOldestAreForgotten(t *testing.T) {
	folder := t.TempDir()
	old := time.Now().Add(-time.Hour)
	for i := range Most {
		name := filepath.Join(folder, fmt.Sprintf("%04d", i))
		if err := os.WriteFile(name, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(name, old, old.Add(time.Duration(i)*time.Second)); err != nil {
			t.Fatal(err)
		}
	}
	Save(filepath.Join(folder, "new"), []byte("x"))
	for name, want := range map[string]bool{"0000": false, "0001": true, "new": true} {
		if _, err := os.Stat(filepath.Join(folder, name)); (err == nil) != want {
			t.Errorf("%s is there: %v, want %v", name, err == nil, want)
		}
	}
}
