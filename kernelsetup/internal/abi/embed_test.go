package abi

import (
	"embed"
	"io/fs"
	"reflect"
	"testing"
	"testing/fstest"
)

//go:embed release go126.go abi.go embedded
var compiled embed.FS

// A file system made by hand is the compiler's, but for the hashes that
// nothing reads.
func TestEmbedFS(t *testing.T) {
	files := map[string]string{}
	var names []string
	fs.WalkDir(compiled, ".", func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			data, _ := compiled.ReadFile(path)
			files[path], names = string(data), append(names, path)
		}
		return err
	})
	made, err := EmbedFS(files)
	if err != nil {
		t.Fatal(err)
	}
	have, want := reflect.ValueOf(made).Field(0).Elem(), reflect.ValueOf(compiled).Field(0).Elem()
	if have.Len() != want.Len() {
		t.Fatalf("%d entries, the compiler has %d", have.Len(), want.Len())
	}
	for i := range want.Len() {
		for _, field := range []string{"name", "data"} {
			if h, w := have.Index(i).FieldByName(field).String(), want.Index(i).FieldByName(field).String(); h != w {
				t.Errorf("%s of entry %d is %.40q, want %.40q", field, i, h, w)
			}
		}
	}
	if err := fstest.TestFS(made, names...); err != nil {
		t.Error(err)
	}
}
