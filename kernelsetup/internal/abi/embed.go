package abi

import (
	"cmp"
	"embed"
	"errors"
	"maps"
	"path"
	"reflect"
	"slices"
	"strings"
)

// EmbedFS returns files as the compiler makes an embed.FS of them: with their
// folders, and sorted by folder, then name. Names are with slashes and from
// the package's folder down. It fails where this Go release's FS is another
// struct.
func EmbedFS(files map[string]string) (embed.FS, error) {
	var fsys embed.FS
	v := reflect.ValueOf(&fsys).Elem()
	wrong := errors.New("embed.FS of this Go release is another struct than the kernel knows")
	if v.NumField() != 1 || v.Type().Field(0).Type.Kind() != reflect.Pointer || v.Type().Field(0).Type.Elem().Kind() != reflect.Slice {
		return fsys, wrong
	}
	names := map[string]bool{}
	for name := range files {
		names[name] = true
		for i, c := range name {
			if c == '/' {
				names[name[:i+1]] = true // a folder ends in a slash
			}
		}
	}
	sorted := slices.SortedFunc(maps.Keys(names), func(a, b string) int {
		folderA, a := path.Split(strings.TrimSuffix(a, "/"))
		folderB, b := path.Split(strings.TrimSuffix(b, "/"))
		return cmp.Or(strings.Compare(path.Clean(folderA), path.Clean(folderB)), strings.Compare(a, b))
	})
	list := reflect.MakeSlice(v.Field(0).Type().Elem(), len(sorted), len(sorted))
	for i, name := range sorted {
		for field, text := range map[string]string{"name": name, "data": files[name]} {
			f := list.Index(i).FieldByName(field)
			if !f.IsValid() || f.Kind() != reflect.String {
				return fsys, wrong
			}
			reflect.NewAt(f.Type(), f.Addr().UnsafePointer()).Elem().SetString(text)
		}
	}
	to := reflect.NewAt(v.Type().Field(0).Type, v.Field(0).Addr().UnsafePointer()).Elem()
	to.Set(reflect.New(list.Type()))
	to.Elem().Set(list)
	return fsys, nil
}
