package draft

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
)

// Saved says what [Sketch.Save] did.
type Saved struct {
	// Path is the campaign file.
	Path string
	// Written is false where the file was left as it was, Updated is set where
	// there was one before and something was added to it.
	Written, Updated bool
	// Differences lists, where the file existed, the lines by which it and the
	// draft differed, in order.
	Differences []LineDifference
}

// LineDifference is a line that only one of two texts has.
type LineDifference struct {
	// InFile says that the line stands in the file and not in the draft;
	// otherwise it is the other way round.
	InFile bool
	Line   int // in the text that has it, counted from 1
	Text   string
}

// String returns the line with its number, after "file" or "draft".
func (d LineDifference) String() string {
	where := "draft"
	if d.InFile {
		where = "file "
	}
	return fmt.Sprintf("%s line %d: %s", where, d.Line, d.Text)
}

// shownDifferences is how many lines String lists.
const shownDifferences = 24

// String says what was done, and what differs.
func (s Saved) String() string {
	switch {
	case s.Updated:
		return fmt.Sprintf("%s is brought up to date: %s differ from before; everything else stands as it was.", s.Path, plural(len(s.Differences), "line"))
	case s.Written:
		return fmt.Sprintf("%s is written. Open it in a text editor, replace each \"?\", and give its path to campaign.Open.", s.Path)
	case len(s.Differences) == 0:
		return fmt.Sprintf("%s exists already and is this draft, word for word; it was left as it is.", s.Path)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s exists already and was left as it is: what you wrote there counts. To have the draft instead, rename that file and run this again. What differs:", s.Path)
	for i, d := range s.Differences {
		if i == shownDifferences {
			fmt.Fprintf(&b, "\n  … and %d lines more", len(s.Differences)-i)
			break
		}
		fmt.Fprintf(&b, "\n  %v", d)
	}
	return b.String()
}

// Save writes the draft as campaign.toml into the folder. Where there was one
// when the draft was made, it is written anew with what is new in the draft;
// everything that stood there stays, but for a "?" that was answered. A file
// that came or changed since then is left as it is, and the answer says what
// differs, so that a cell with Save can stay in a notebook. It fails where the
// folder can't be written or the file there can't be read.
func (s *Sketch) Save() (Saved, error) {
	path := filepath.Join(s.Folder, FileName)
	if !s.had {
		if err := s.create(path); !errors.Is(err, os.ErrExist) {
			return Saved{Path: path, Written: err == nil}, err
		}
	}
	read := s.read
	if read == nil {
		read = os.ReadFile
	}
	text, err := read(path)
	if err != nil {
		return Saved{Path: path}, fmt.Errorf("draft: %w", err)
	}
	there := string(text)
	if !s.had || there != s.before || s.Text == s.before {
		return Saved{Path: path, Differences: lineDifferences(there, s.Text)}, nil
	}
	saved := Saved{Path: path, Written: true, Updated: true, Differences: lineDifferences(s.before, s.Text)}
	if err := atomicfile.Write(path, []byte(s.Text), 0o644); err != nil {
		return Saved{Path: path}, cannotSave(err)
	}
	s.before = s.Text
	return saved, nil
}

// create fails with os.ErrExist where something is at path.
func (s *Sketch) create(path string) error {
	err := atomicfile.Create(path, 0o644, func(w io.Writer) error {
		_, err := io.WriteString(w, s.Text)
		return err
	})
	if err != nil {
		return cannotSave(err)
	}
	return nil
}

func cannotSave(err error) error {
	return fmt.Errorf("draft: %w; may you write into that folder?", err)
}

// lineDifferences compares two texts by their longest common subsequence of
// lines (Hunt and McIlroy, Bell Laboratories Computing Science Technical
// Report 41, 1976), after their common begin and end.
func lineDifferences(file, draft string) []LineDifference {
	a, b := splitLines(file), splitLines(draft)
	from := 0
	for from < len(a) && from < len(b) && a[from] == b[from] {
		from++
	}
	toA, toB := len(a), len(b)
	for toA > from && toB > from && a[toA-1] == b[toB-1] {
		toA, toB = toA-1, toB-1
	}
	n, m := toA-from, toB-from
	if n*m > 1<<24 { // far too unlike for a draft and its file: all of both
		return append(linesFrom(a[from:toA], from, true), linesFrom(b[from:toB], from, false)...)
	}
	common := make([][]int, n+1) // of the rest from i, j on
	for i := range common {
		common[i] = make([]int, m+1)
	}
	for i := n - 1; i >= 0; i-- {
		for j := m - 1; j >= 0; j-- {
			if a[from+i] == b[from+j] {
				common[i][j] = common[i+1][j+1] + 1
			} else {
				common[i][j] = max(common[i+1][j], common[i][j+1])
			}
		}
	}
	var all []LineDifference
	for i, j := 0, 0; i < n || j < m; {
		switch {
		case i < n && j < m && a[from+i] == b[from+j]:
			i, j = i+1, j+1
		case j == m || i < n && common[i+1][j] >= common[i][j+1]:
			all = append(all, LineDifference{InFile: true, Line: from + i + 1, Text: a[from+i]})
			i++
		default:
			all = append(all, LineDifference{Line: from + j + 1, Text: b[from+j]})
			j++
		}
	}
	return all
}

func linesFrom(lines []string, before int, inFile bool) []LineDifference {
	var all []LineDifference
	for i, l := range lines {
		all = append(all, LineDifference{InFile: inFile, Line: before + i + 1, Text: l})
	}
	return all
}

// splitLines returns the lines without their ends, whatever system wrote them.
func splitLines(text string) []string {
	return strings.Split(strings.TrimSuffix(strings.ReplaceAll(text, "\r\n", "\n"), "\n"), "\n")
}
