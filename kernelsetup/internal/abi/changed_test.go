//go:build proof

package abi

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// A word more or less in any struct of the source is reported by the check of
// a program built from it, in words.
func TestCheckSeesChangedSource(t *testing.T) {
	files := map[string]string{} // struct -> file with its declaration
	for _, file := range []string{"type.go", "words.go", "go" + strings.ReplaceAll(Release, ".", "") + ".go"} {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range layouts {
			if strings.Contains(string(text), l.Name()+" struct {\n") {
				files[l.Name()] = file
			}
		}
	}
	for _, l := range layouts {
		name := l.Name()
		if name == "Words" || name == "Slice" || name == "Closure" {
			continue // of the language more than of a release; a field more does not compile
		}
		t.Run(name, func(t *testing.T) {
			file, ok := files[name]
			if !ok {
				t.Fatal("not declared in any file")
			}
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			first := name + " struct {\n"
			changed := strings.Replace(string(text), first, first+"\textra uintptr\n", 1)
			if l.NumField() > 0 && l.Field(0).Anonymous { // a kind's own fields follow
				changed = strings.Replace(string(text), first, strings.Replace(first, "{\n", "{\n\t\tType\n\t\textra uintptr\n", 1)+"//", 1)
			}
			out := runCheck(t, file, changed)
			if !strings.Contains(out, "whose types lie in memory otherwise") || strings.Contains(out, "SIGSEGV") || strings.Contains(out, "fatal error") {
				t.Errorf("the check says:\n%s", out)
			}
		})
	}
}

// runCheck runs TestCheck on the package with one file replaced.
func runCheck(t *testing.T, file, text string) string {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, file), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	here, err := filepath.Abs(file)
	if err != nil {
		t.Fatal(err)
	}
	overlay, err := json.Marshal(map[string]map[string]string{"Replace": {here: filepath.Join(dir, file)}})
	if err != nil {
		t.Fatal(err)
	}
	list := filepath.Join(dir, "overlay.json")
	if err := os.WriteFile(list, overlay, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("go", "test", "-vet=off", "-count=1", "-overlay", list, "-run", "^TestCheck$", ".").CombinedOutput()
	if err == nil {
		t.Fatal("the check finds nothing")
	}
	return string(out)
}
