package document

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Where the unit is a question, the text shows the numbers as the file has them.
func TestUnitNotKnown(t *testing.T) {
	text := "Time,T1,T2\n"
	for i := range 40 {
		text += fmt.Sprintf("2025-03-24 14:18:%02d,%d,%d\n", i, 117+3*i, 160+14*i)
	}
	path := filepath.Join(t.TempDir(), "log.csv")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	AccountFor(path).Text(&b)
	if got := b.String(); !strings.Contains(got, "117 to 234") || !strings.Contains(got, "160 to 706") || strings.Contains(got, "? to ?") || !strings.Contains(got, "question") {
		t.Errorf("%s", got)
	}
}
