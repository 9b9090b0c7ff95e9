package messy

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// Write writes the folder below dir, which must not exist or be empty: nothing
// is overwritten. It fails when dir holds something or can't be written.
func (f *Folder) Write(dir string) error {
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return fmt.Errorf("%s is not empty (%s …): name a new folder, nothing is overwritten", dir, entries[0].Name())
	}
	truth, err := json.MarshalIndent(f.Truth, "", "  ")
	if err != nil {
		return err
	}
	all := []file{{"truth/truth.json", append(truth, '\n')}}
	for _, x := range f.files {
		all = append(all, file{"campaign/" + x.path, x.data})
	}
	for _, x := range all {
		name := filepath.Join(dir, filepath.FromSlash(x.path))
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			return err
		}
		out, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if err != nil {
			return err
		}
		if _, err := out.Write(x.data); err != nil {
			out.Close()
			return err
		}
		if err := out.Close(); err != nil {
			return err
		}
	}
	return nil
}

// gzipped packs each file by itself.
func gzipped(files []file, names map[int][]string) []file {
	for i := range files {
		var w bytes.Buffer
		z := gzip.NewWriter(&w)
		z.Write(files[i].data) // a buffer takes everything
		z.Close()
		files[i] = file{files[i].path + ".gz", w.Bytes()}
	}
	for i := range names {
		for k := range names[i] {
			names[i][k] += ".gz"
		}
	}
	return files
}

// zipped packs all files into one archive; a drive's file is the archive.
func zipped(name string, files []file, names map[int][]string) []file {
	var w bytes.Buffer
	z := zip.NewWriter(&w)
	for _, x := range files {
		out, err := z.Create(filepath.Base(x.path))
		if err == nil {
			_, err = io.Copy(out, bytes.NewReader(x.data))
		}
		if err != nil {
			panic(err) // a buffer takes everything
		}
	}
	z.Close()
	for i := range names {
		names[i] = []string{name}
	}
	return []file{{name, w.Bytes()}}
}
