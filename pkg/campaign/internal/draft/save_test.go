package draft

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A kept cell with Save says that the file is there, leaves every byte of it,
// and shows what the reader answered.
func TestSaveOnAnsweredFile(t *testing.T) {
	dir := t.TempDir()
	s := &Sketch{Folder: dir, Text: "# A draft\nname = \"my car\"\ncylinders = \"?\"\nlast = 1\n"}
	first, err := s.Save()
	if err != nil || !first.Written {
		t.Fatal(first, err)
	}
	answered := strings.Replace(s.Text, `"?"`, "4", 1)
	if err := os.WriteFile(first.Path, []byte(answered), 0o644); err != nil {
		t.Fatal(err)
	}
	again, err := s.Save()
	if err != nil || again.Written {
		t.Fatal(again, err)
	}
	if got := fmt.Sprint(again.Differences); got != `[file  line 3: cylinders = 4 draft line 3: cylinders = "?"]` {
		t.Errorf("differences %v", got)
	}
	if text, _ := os.ReadFile(first.Path); string(text) != answered {
		t.Errorf("the file was changed: %s", text)
	}
	if !strings.Contains(again.String(), "left as it is") || !strings.Contains(again.String(), "cylinders = 4") {
		t.Errorf("said: %v", again)
	}
	if err := os.Remove(first.Path); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(dir, FileName), 0o755); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Save(); err == nil {
		t.Error("a folder in the file's place passed")
	}
}

// Differences worked out by hand.
func TestLineDifferences(t *testing.T) {
	for _, c := range []struct{ file, draft, want string }{
		{"a\nb\n", "a\nb\n", "[]"},
		{"a\r\nb\r\n", "a\nb", "[]"},
		{"a\nx\nb\n", "a\nb\n", "[file  line 2: x]"},
		{"a\nb\n", "a\nb\nc\nd\n", "[draft line 3: c draft line 4: d]"},
		{"a\nb\nc\nd\n", "a\nc\ne\nd\n", "[file  line 2: b draft line 3: e]"},
	} {
		if got := fmt.Sprint(lineDifferences(c.file, c.draft)); got != c.want {
			t.Errorf("%q and %q: %s, want %s", c.file, c.draft, got, c.want)
		}
	}
}
