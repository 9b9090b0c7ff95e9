// Package pathname reads the paths that a person writes: ~ for the home folder,
// and says what a path that leads nowhere is looked for from.
package pathname

import (
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
)

// Expand puts the home folder in the place of a leading ~; other paths, and
// that of a system that names no home folder, stay as they are. A ~ with the
// name of another user is a file's own name.
func Expand(path string) string {
	rest, tilde := strings.CutPrefix(path, "~")
	if !tilde || rest != "" && !strings.HasPrefix(rest, "/") && !strings.HasPrefix(rest, string(filepath.Separator)) {
		return path
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return path
	}
	return filepath.Join(home, filepath.FromSlash(rest))
}

var drive = regexp.MustCompile(`^[A-Za-z]:[\\/]`)

// Sought says, for a path at which there is nothing, from where it is looked
// for, or that it is one of another system; it begins with a blank, and is empty
// where there is nothing to say.
func Sought(path string) string {
	if runtime.GOOS != "windows" && (drive.MatchString(path) || strings.Contains(path, `\`)) {
		return ` (this is a path as Windows writes it, and this computer is none; write folders with "/" between them)`
	}
	if filepath.IsAbs(path) {
		return ""
	}
	at, err := os.Getwd()
	if err != nil {
		return ""
	}
	return " (looked for from the folder " + at + ", in which the notebook or the command runs)"
}
