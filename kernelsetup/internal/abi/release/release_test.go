package release_test

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi/release"
)

const root = "../../../.."

// listed returns the releases and toolchains of go-releases.txt.
func listed(t *testing.T) (releases, toolchains []string) {
	text, err := os.ReadFile(root + "/kernelsetup/go-releases.txt")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		if f := strings.Fields(line); len(f) == 2 && f[0] != "#" {
			releases, toolchains = append(releases, f[0]), append(toolchains, f[1])
		}
	}
	return releases, toolchains
}

// A build with a release that has no files stops with one sentence that says
// what to do. Here the release in use takes the part of the unknown one.
func TestUnknownReleaseIsRefused(t *testing.T) {
	text, err := os.ReadFile("unknown.go")
	if err != nil {
		t.Fatal(err)
	}
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	unknown := filepath.Join(t.TempDir(), "unknown.go")
	taken := regexp.MustCompile(`//go:build go1\.\d+`).ReplaceAll(text, []byte("//go:build go"+release.Name))
	if err := os.WriteFile(unknown, taken, 0o644); err != nil {
		t.Fatal(err)
	}
	replaced := map[string]string{filepath.Join(here, "unknown.go"): unknown}
	releases, _ := listed(t)
	for _, r := range releases {
		replaced[filepath.Join(here, "go"+strings.ReplaceAll(r, ".", "")+".go")] = "" // not there
	}
	overlay, err := json.Marshal(map[string]any{"Replace": replaced})
	if err != nil {
		t.Fatal(err)
	}
	list := filepath.Join(t.TempDir(), "overlay.json")
	if err := os.WriteFile(list, overlay, 0o644); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("go", "build", "-overlay", list, "-o", os.DevNull, "./kernelsetup")
	cmd.Dir = root
	out, err := cmd.CombinedOutput()
	if err == nil {
		t.Fatal("the build goes on")
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(lines) != 2 || !strings.Contains(lines[1], "build by make") {
		t.Errorf("the build says:\n%s", out)
	}
}

// The files for each release, and the one for unknown ones, follow the list.
func TestFilesFollowList(t *testing.T) {
	releases, toolchains := listed(t)
	last := 0
	for _, r := range releases {
		var minor int
		fmt.Sscanf(r, "1.%d", &minor)
		last = max(last, minor)
		want := fmt.Sprintf("//go:build go1.%d && !go1.%d\n", minor, minor+1)
		for _, dir := range []string{".", "..", "../../symbols/std"} {
			name := fmt.Sprintf("go1%d.go", minor)
			if dir == "../../symbols/std" {
				name = "zz_embed_" + name
			}
			text, err := os.ReadFile(filepath.Join(dir, name))
			if err != nil {
				t.Error(err)
			} else if !strings.Contains(string(text), want) {
				t.Errorf("%s/%s has no line %q", dir, name, want)
			}
		}
	}
	text, err := os.ReadFile("unknown.go")
	if err != nil {
		t.Fatal(err)
	}
	if want := fmt.Sprintf("//go:build go1.%d\n", last+1); !strings.HasPrefix(string(text), want) || !strings.Contains(string(text), toolchains[0]) {
		t.Errorf("unknown.go does not begin with %q and name %s", want, toolchains[0])
	}
}

// make takes the installed Go where its release is in the list, else the
// pinned toolchain, and says so.
func TestMakeFallsBack(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("needs a shell")
	}
	_, toolchains := listed(t)
	for version, want := range map[string]string{
		"go1.26.2": "", "go1.27rc1": "", "go1.27": "", toolchains[0]: "",
		"go1.99.0": toolchains[0], "go1.25.3": toolchains[0], "go1.99rc1": toolchains[0], "devel go1.99-abcdef": toolchains[0],
	} {
		dir := t.TempDir()
		name := filepath.Join(dir, "go")
		if err := os.WriteFile(name, []byte("#!/bin/sh\necho '"+version+"'\n"), 0o755); err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command("sh", root+"/kernelsetup/toolchain.sh", "choose", name)
		var said strings.Builder
		cmd.Stderr = &said
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.TrimSpace(string(out)); got != want {
			t.Errorf("for %s make takes %q, want %q", version, got, want)
		}
		if (said.Len() > 0) != (want != "") {
			t.Errorf("for %s make says %q", version, said.String())
		}
	}
}
