// Package install registers the kernel with Jupyter, and looks around for what
// a notebook needs.
package install

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
)

// Name is the kernel's name in Jupyter.
const Name = "bonnetbook"

// UserDir returns the folder of the user's Jupyter data, by Jupyter's rules:
// JUPYTER_DATA_DIR, or the place that the system has for such.
func UserDir() (string, error) {
	if dir := os.Getenv("JUPYTER_DATA_DIR"); dir != "" {
		return dir, nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", errors.New("no home folder found; choose a place with --dir or --prefix, or set JUPYTER_DATA_DIR to the folder for Jupyter's data")
	}
	switch runtime.GOOS {
	case "darwin":
		return filepath.Join(home, "Library", "Jupyter"), nil
	case "windows":
		if dir := os.Getenv("APPDATA"); dir != "" {
			return filepath.Join(dir, "jupyter"), nil
		}
		return filepath.Join(home, "AppData", "Roaming", "jupyter"), nil
	}
	if dir := os.Getenv("XDG_DATA_HOME"); dir != "" {
		return filepath.Join(dir, "jupyter"), nil
	}
	return filepath.Join(home, ".local", "share", "jupyter"), nil
}

// PrefixDir returns the data folder below an installation prefix, such as
// that of a Python environment (sys.prefix) or /usr/local.
func PrefixDir(prefix string) string { return filepath.Join(prefix, "share", "jupyter") }

// SearchDirs lists the data folders in which Jupyter looks for kernels, in
// its order: JUPYTER_PATH, the user's, those of active environments and of the
// Python on the PATH, the system's.
func SearchDirs() []string {
	var dirs []string
	dirs = append(dirs, filepath.SplitList(os.Getenv("JUPYTER_PATH"))...)
	if dir, err := UserDir(); err == nil {
		dirs = append(dirs, dir)
	}
	for _, prefix := range environments() {
		dirs = append(dirs, PrefixDir(prefix))
	}
	if runtime.GOOS == "windows" {
		if dir := os.Getenv("PROGRAMDATA"); dir != "" {
			dirs = append(dirs, filepath.Join(dir, "jupyter"))
		}
		return dirs
	}
	return append(dirs, "/usr/local/share/jupyter", "/usr/share/jupyter")
}

// environments lists the prefixes of Python environments: the active ones, and
// that of the Python on the PATH.
func environments() []string {
	var prefixes []string
	for _, key := range []string{"VIRTUAL_ENV", "CONDA_PREFIX"} {
		if prefix := os.Getenv(key); prefix != "" {
			prefixes = append(prefixes, prefix)
		}
	}
	if prefix, err := SysPrefix(); err == nil {
		prefixes = append(prefixes, prefix)
	}
	return prefixes
}

// HistoryFile returns where the kernel keeps its history over sessions.
func HistoryFile() string {
	var dir string
	switch home, _ := os.UserHomeDir(); runtime.GOOS {
	case "windows":
		dir = os.Getenv("LOCALAPPDATA")
	case "darwin":
		if home != "" {
			dir = filepath.Join(home, "Library", "Application Support")
		}
	default:
		if dir = os.Getenv("XDG_DATA_HOME"); dir == "" && home != "" {
			dir = filepath.Join(home, ".local", "share")
		}
	}
	if dir == "" {
		return ""
	}
	return filepath.Join(dir, "bonnetbook", "history.jsonl")
}
