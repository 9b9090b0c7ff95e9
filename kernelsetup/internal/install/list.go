package install

import (
	"os"
	"path/filepath"
	"strings"
)

// Kernel is one kernelspec found on this machine.
type Kernel struct {
	// Name is what Jupyter calls it, DisplayName what it shows.
	Name, DisplayName string
	// Dir is the kernelspec's folder, Program the file it starts.
	Dir, Program string
	// Ours tells that this program wrote it.
	Ours bool
	// Missing tells that the program it starts is not there.
	Missing bool
	// Shadowed tells that one of the same name comes before it.
	Shadowed bool
}

// List returns all kernelspecs in the folders that Jupyter searches.
func List() []Kernel {
	var found []Kernel
	seenDir, seenName := map[string]bool{}, map[string]bool{}
	for _, data := range SearchDirs() {
		base := filepath.Join(data, "kernels")
		if seenDir[base] {
			continue
		}
		seenDir[base] = true
		entries, _ := os.ReadDir(base)
		for _, e := range entries {
			k, ok := readKernel(filepath.Join(base, e.Name()))
			if !ok {
				continue
			}
			k.Shadowed = seenName[k.Name]
			seenName[k.Name] = true
			found = append(found, k)
		}
	}
	return found
}

func readKernel(dir string) (Kernel, bool) {
	s, err := readSpec(dir)
	if err != nil {
		return Kernel{}, false
	}
	// Jupyter's names of kernels do not depend on case.
	k := Kernel{Name: strings.ToLower(filepath.Base(dir)), DisplayName: s.DisplayName, Dir: dir,
		Ours: s.Metadata[writtenBy] == Name}
	if len(s.Argv) > 0 {
		k.Program = s.Argv[0]
		if filepath.IsAbs(k.Program) {
			_, err := os.Stat(k.Program)
			k.Missing = err != nil
		}
	}
	return k, true
}
