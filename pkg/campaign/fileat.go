package campaign

import (
	"os"
	"path/filepath"
	"strings"

	"github.com/bonnetbook/bonnetbook/internal/pathname"
	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/draft"
)

// FileAt returns the campaign file that a path names: a file that ends in
// .toml, or the folder of one; ok is false for any other path. A leading ~ is
// the home folder. Whether the file is there [Open] says.
func FileAt(path string) (file string, ok bool) {
	path = pathname.Expand(path)
	if strings.EqualFold(filepath.Ext(path), ".toml") {
		return path, true
	}
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return filepath.Join(path, draft.FileName), true
	}
	return "", false
}
