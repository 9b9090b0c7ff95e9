package pkg_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A package that grows beyond what one person keeps in mind is taken apart.
func TestPackagesStaySmall(t *testing.T) {
	const most = 2500 // lines without tests
	for path := range rooms(t, "pkg") {
		files, err := filepath.Glob(filepath.Join("..", path, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		lines := 0
		for _, f := range files {
			if strings.HasSuffix(f, "_test.go") {
				continue
			}
			text, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			lines += bytes.Count(text, []byte("\n"))
		}
		if lines > most {
			t.Errorf("%s has %d lines without its tests, more than %d: which second idea is in it?", path, lines, most)
		}
	}
}
