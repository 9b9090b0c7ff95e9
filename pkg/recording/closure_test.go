package recording_test

import (
	"os/exec"
	"strings"
	"testing"
)

// TestClosure sees that who reads text links no library of data bases, of columns
// or of pictures: rows of SQLite files are read by hand (DEVELOPERS.md, "Rejected
// designs").
func TestClosure(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "github.com/bonnetbook/bonnetbook/pkg/recording").Output()
	if err != nil {
		t.Skipf("go list: %v", err)
	}
	for _, path := range strings.Fields(string(out)) {
		for _, heavy := range []string{"sqlite", "database/sql", "arrow", "parquet", "gonum.org/v1/plot"} {
			if strings.Contains(path, heavy) {
				t.Errorf("%s is linked", path)
			}
		}
	}
}
