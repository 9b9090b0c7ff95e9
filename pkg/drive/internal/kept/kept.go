// Package kept keeps what can be worked out again in files that may be lost: a
// damaged one counts as none, and the oldest make room for new ones.
package kept

import (
	"bytes"
	"crypto/sha256"
	"os"
	"path/filepath"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
)

// Most files are kept in a folder, of at most MostSize bytes each.
const (
	Most     = 1000
	MostSize = 4 << 20
)

// Load returns what was kept in the file, without its checksum; ok is false
// where there is none, or one that is not as it was written.
func Load(path string) (body []byte, ok bool) {
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() || info.Size() > MostSize || info.Size() < sha256.Size {
		return nil, false
	}
	data, err := os.ReadFile(path)
	if err != nil || len(data) < sha256.Size {
		return nil, false
	}
	sum, body := data[:sha256.Size], data[sha256.Size:]
	if own := sha256.Sum256(body); !bytes.Equal(sum, own[:]) {
		return nil, false
	}
	return body, true
}

// Save keeps a file, and makes its folder. A folder that can't be written keeps
// nothing, nor is anything kept that is larger than MostSize.
func Save(path string, body []byte) {
	if len(body) > MostSize-sha256.Size {
		return
	}
	folder := filepath.Dir(path)
	if os.MkdirAll(folder, 0o700) != nil {
		return
	}
	sum := sha256.Sum256(body)
	if atomicfile.Write(path, append(sum[:], body...), 0o600) == nil {
		forgetOldest(folder)
	}
}

// forgetOldest removes files beyond the most that are kept.
func forgetOldest(folder string) {
	entries, err := os.ReadDir(folder)
	if err != nil || len(entries) <= Most {
		return
	}
	age := map[string]time.Time{}
	var names []string
	for _, e := range entries {
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() {
			names = append(names, e.Name())
			age[e.Name()] = info.ModTime()
		}
	}
	slices.SortFunc(names, func(a, b string) int { return age[a].Compare(age[b]) })
	for _, n := range names[:max(0, len(names)-Most)] {
		os.Remove(filepath.Join(folder, n)) // another program may have done so
	}
}
