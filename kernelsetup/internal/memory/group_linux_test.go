package memory

import (
	"math"
	"os"
	"path/filepath"
	"testing"
)

// The groups of version 2 are nested, and the least limit counts.
func TestGroupLimit(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) {
		file := filepath.Join(dir, name)
		os.MkdirAll(filepath.Dir(file), 0o755)
		if err := os.WriteFile(file, []byte(text+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("two", "0::/user.slice/session.scope")
	write("fs/user.slice/session.scope/memory.max", "max")
	write("fs/user.slice/memory.max", "1073741824")
	if n := groupLimit(filepath.Join(dir, "two"), filepath.Join(dir, "fs")); n != 1<<30 {
		t.Errorf("version 2: %d", n)
	}
	write("one", "5:cpu,cpuacct:/x\n4:memory:/box")
	write("fs/memory/box/memory.limit_in_bytes", "536870912")
	if n := groupLimit(filepath.Join(dir, "one"), filepath.Join(dir, "fs")); n != 1<<29 {
		t.Errorf("version 1: %d", n)
	}
	if n := groupLimit(filepath.Join(dir, "none"), filepath.Join(dir, "nowhere")); n != math.MaxUint64 {
		t.Errorf("without groups: %d", n)
	}
}
