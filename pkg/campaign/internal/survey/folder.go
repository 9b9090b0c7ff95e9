package survey

import (
	"crypto/sha256"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
	"github.com/bonnetbook/bonnetbook/pkg/internal/parallel"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// File is one file of the folder.
type File struct {
	Path string // from the folder on, with slashes
	Used bool
	Why  string // it is not used, or what it is used for
	// Archive is the archive that the file lies in, empty for most.
	Archive string

	ways  []recording.Way
	short []recording.Way // of too few rows to stand alone
	skip  bool            // no log, by what it is or is called

	memory *Memory
}

// fewestRows is what a recording has at least; a table of fewer rows is a list
// that somebody keeps. Common practice, no source.
const fewestRows = 20

// Files lists the folder and what lies below it in order of names, and reads
// what may be a log; what memory has of it is not read again. It fails where the
// folder can't be read.
func Files(folder string, memory *Memory) ([]*File, error) {
	var all []*File
	if _, err := os.ReadDir(folder); err != nil {
		return nil, err
	}
	err := filepath.WalkDir(folder, func(name string, d fs.DirEntry, err error) error {
		rel, _ := filepath.Rel(folder, name)
		rel = filepath.ToSlash(rel)
		switch {
		case err != nil:
			all = append(all, &File{Path: rel, Why: "can't be read: " + err.Error(), skip: true})
		case d.IsDir() && rel != "." && strings.HasPrefix(d.Name(), "."):
			return fs.SkipDir
		case d.IsDir(), atomicfile.Leftover(d.Name()): // of a draft that was being saved
		default:
			why := notALog(d)
			if why == "" && recording.IsArchive(rel) {
				names, err := recording.ArchiveEntries(name)
				for _, n := range names {
					all = append(all, &File{Path: rel + "/" + n, Archive: rel})
				}
				if err == nil && len(names) > 0 {
					return nil
				}
				why = "an archive with nothing in it that can be read"
			}
			all = append(all, &File{Path: rel, Why: why, skip: why != ""})
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	for _, f := range all {
		f.memory = memory
	}
	readAll(folder, all)
	keepTails(all)
	dropCopies(folder, all)
	return all, nil
}

// FilesAt reads single files, named as given.
func FilesAt(paths []string) []*File {
	var all []*File
	for _, p := range paths {
		all = append(all, &File{Path: p})
	}
	readAll("", all)
	dropCopies("", all)
	return all
}

// notALog says why a file is no log by what it is or is called; empty where it
// may be one.
func notALog(d fs.DirEntry) string {
	name := strings.ToLower(d.Name())
	switch {
	case strings.HasPrefix(name, "."), strings.HasPrefix(name, "~"), name == "desktop.ini", name == "thumbs.db":
		return "a file of the system's or of a program's"
	case d.Type()&fs.ModeSymlink != 0:
		return "a link; copy the file itself into the folder"
	case !d.Type().IsRegular():
		return "no ordinary file"
	}
	switch path.Ext(name) {
	case ".toml":
		return "a campaign or a layout"
	case ".md", ".pdf", ".html", ".ipynb", ".py", ".go", ".docx", ".odt":
		return "a text"
	case ".png", ".jpg", ".jpeg", ".svg", ".heic", ".gif", ".mp4", ".mov":
		return "a picture"
	case ".7z", ".rar":
		return "an archive; unpack it here, and it is read"
	}
	return ""
}

// readAll reads the files on all processors.
func readAll(folder string, all []*File) {
	parallel.Each(len(all), func(i int) {
		if !all[i].skip {
			all[i].read(folder)
		}
	})
}

func (f *File) read(folder string) {
	name := filepath.Join(folder, filepath.FromSlash(f.Path))
	ways, err := f.memory.ways(name, f.archiveIn(folder), "", "", recording.Options{Workers: 1})
	switch {
	case err != nil:
		f.Why = strings.TrimPrefix(err.Error(), name+": ")
	case ways[0].Recording.Rows() < fewestRows:
		f.Why = fmt.Sprintf("%d rows; a recording of a drive has more", ways[0].Recording.Rows())
		f.short = ways
	case !useful(ways[0].Recording):
		f.Why = "no temperature, speed or position in it"
	default:
		f.ways, f.Used = ways, true
	}
}

// archiveIn is the archive on disk that the file lies in; empty for most.
func (f *File) archiveIn(folder string) string {
	if f.Archive == "" {
		return ""
	}
	return filepath.Join(folder, filepath.FromSlash(f.Archive))
}

// keepTails uses short files after all that have the columns of others: the
// last piece of a log that was split.
func keepTails(all []*File) {
	known := map[string]bool{}
	for _, f := range all {
		if f.Used {
			known[signature(f.ways[0].Recording)] = true
		}
	}
	for _, f := range all {
		if f.short != nil && known[signature(f.short[0].Recording)] {
			f.ways, f.short, f.Used, f.Why = f.short, nil, true, ""
		}
	}
}

// useful reports whether a recording may have something to say of a drive.
func useful(r *recording.Recording) bool {
	return slices.ContainsFunc(r.Columns, func(c *recording.Column) bool {
		return slices.Contains([]series.Dimension{series.Temperature, series.Speed, series.Angle, series.RotationalSpeed, series.Pressure, series.RelativeHumidity}, c.Dimension)
	}) || slices.ContainsFunc(r.Columns, func(c *recording.Column) bool { return mayBeTemperature(c) })
}

// dropCopies leaves of files with the same content the one with the shortest
// name: copies have something added to theirs.
func dropCopies(folder string, all []*File) {
	seen := map[[32]byte]*File{}
	for _, f := range all {
		if !f.Used || f.Archive != "" {
			continue
		}
		sum, err := f.memory.sum(filepath.Join(folder, filepath.FromSlash(f.Path)))
		if err != nil {
			continue
		}
		first, ok := seen[sum]
		if !ok {
			seen[sum] = f
			continue
		}
		if len(f.Path) < len(first.Path) {
			first, f = f, first
			seen[sum] = first
		}
		f.Used, f.Why = false, "a copy of "+first.Path
	}
}

func sumOf(name string) (sum [32]byte, err error) {
	in, err := os.Open(name)
	if err != nil {
		return sum, err
	}
	defer in.Close()
	h := sha256.New()
	if _, err := io.Copy(h, in); err != nil {
		return sum, err
	}
	return [32]byte(h.Sum(nil)), nil
}
