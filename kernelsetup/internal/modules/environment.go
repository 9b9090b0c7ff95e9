package modules

import (
	"go/build"
	"os"
	"path/filepath"
	"strings"
)

// environment is the go command's settings: the process's variables, then
// those that go env -w has stored.
type environment map[string]string

func readEnvironment() environment {
	env := environment{}
	name := os.Getenv("GOENV")
	if name == "off" {
		return env
	}
	if name == "" {
		dir, err := os.UserConfigDir()
		if err != nil {
			return env
		}
		name = filepath.Join(dir, "go", "env")
	}
	data, _ := os.ReadFile(name) // most people have none
	for line := range strings.Lines(string(data)) {
		if key, value, ok := strings.Cut(strings.TrimSpace(line), "="); ok && !strings.HasPrefix(key, "#") {
			env[key] = value
		}
	}
	return env
}

func (env environment) get(key string) string {
	if v := os.Getenv(key); v != "" {
		return v
	}
	return env[key]
}

// flag returns the value of a flag in GOFLAGS.
func (env environment) flag(name string) string {
	out := ""
	for _, f := range strings.Fields(env.get("GOFLAGS")) {
		f = strings.TrimPrefix(strings.TrimPrefix(f, "-"), "-")
		if v, ok := strings.CutPrefix(f, name+"="); ok {
			out = v
		}
	}
	return out
}

func (env environment) tags() []string {
	return strings.FieldsFunc(env.flag("tags"), func(r rune) bool { return r == ',' || r == ' ' })
}

// cache is the module cache.
func (env environment) cache() string {
	if dir := env.get("GOMODCACHE"); dir != "" {
		return dir
	}
	path := env.get("GOPATH")
	if path == "" {
		path = build.Default.GOPATH
	}
	first := filepath.SplitList(path)
	if len(first) == 0 {
		return ""
	}
	return filepath.Join(first[0], "pkg", "mod")
}
