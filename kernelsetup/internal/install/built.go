package install

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"runtime"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
)

// builtProgram is the file of a kernel that was built with more packages: it
// lies beside its kernelspec, and goes with it.
var builtProgram = func() string {
	if runtime.GOOS == "windows" {
		return Name + ".exe"
	}
	return Name
}()

// names of kernels, by Jupyter's rule, but in lower case.
var kernelName = regexp.MustCompile(`^[a-z0-9._-]+$`)

// Built is a kernel that was built with more packages.
type Built struct {
	// Name is its name in Jupyter, Title what Jupyter shows.
	Name, Title string
	// Modules and Packages are what it has beside the first kernel.
	Modules, Packages []string
}

// Check tells before anything is built whether the kernel can be registered
// below a data folder. It fails for a name that Jupyter does not allow, for the
// first kernel's, and where something else has that name.
func (b Built) Check(dataDir string) error {
	if !kernelName.MatchString(b.Name) {
		return fmt.Errorf("%q cannot be the name of a kernel: Jupyter wants small letters, digits, ., - and _", b.Name)
	}
	if b.Name == Name {
		return errors.New("the name " + Name + " is that of the first kernel; choose another")
	}
	_, err := folderFor(dataDir, b.Name)
	return err
}

// Install copies the program into the kernelspec's folder and registers it, as
// the function Install does. It returns the folder and the program there.
func (b Built) Install(dataDir, program string) (dir, installed string, err error) {
	if err := b.Check(dataDir); err != nil {
		return "", "", err
	}
	if dir, err = filepath.Abs(filepath.Join(dataDir, "kernels", b.Name)); err != nil {
		return "", "", err
	}
	installed = filepath.Join(dir, builtProgram)
	data, err := os.ReadFile(program)
	if err != nil {
		return "", "", err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", "", cannotWrite(err)
	}
	if err := atomicfile.Write(installed, data, 0o755); err != nil {
		return "", "", cannotWrite(err)
	}
	metadata := map[string]any{writtenBy: Name, "debugger": false, "modules": b.Modules, "packages": b.Packages}
	return dir, installed, writeSpec(dir, installed, b.Title, metadata)
}
