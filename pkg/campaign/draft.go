package campaign

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
)

// Sketch is a campaign file that was drafted from a folder of logs. It is
// complete but for what only its reader can know.
type Sketch struct {
	Folder string
	// Text is the file; a value "?" stands where the reader must decide.
	Text string
	// Needs are the decisions that are left, with their lines in Text.
	Needs Problems
	// Unused says for each file that could not be used why not.
	Unused []string
	files  int
	drives int
}

// draftName is the file that Save writes.
const draftName = "campaign.toml"

// Draft looks at every file in the folder and drafts a campaign: files with
// the same columns are one device's, files whose times overlap are one drive.
// Nothing is written before [Sketch.Save]. It fails where the folder can't be
// read or holds no readable log.
func Draft(folder string) (*Sketch, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, fmt.Errorf("a draft needs a folder of logs: %w", err)
	}
	s := &Sketch{Folder: folder}
	var files [][]survey.Log
	for _, e := range entries {
		name := e.Name()
		if !e.Type().IsRegular() || strings.HasPrefix(name, ".") || notALog(name) {
			continue
		}
		found, err := survey.Look(folder, name)
		if err != nil {
			s.Unused = append(s.Unused, strings.TrimPrefix(err.Error(), folder+string(filepath.Separator)))
			continue
		}
		files = append(files, found)
	}
	if len(files) == 0 {
		if len(s.Unused) > 0 {
			return nil, fmt.Errorf("no file in %s can be read as a log:\n  %s", folder, strings.Join(s.Unused, "\n  "))
		}
		return nil, fmt.Errorf("there is no log in %s; put the loggers' and the phone's files there and try again", folder)
	}
	logs := survey.Likeliest(files)
	devices := survey.Devices(logs)
	drives := survey.Drives(logs)
	s.files, s.drives = len(logs), len(drives)
	s.Text = writeDraft(devices, drives, s.Unused)
	_, err = check(filepath.Join(folder, draftName), []byte(s.Text))
	if err != nil && !errors.As(err, &s.Needs) {
		return nil, err
	}
	return s, nil
}

// notALog names files that people keep beside their logs.
func notALog(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".toml", ".md", ".png", ".jpg", ".jpeg", ".svg", ".pdf", ".html", ".ipynb", ".zip", ".py", ".go":
		return true
	}
	return false
}

// String says what was found and what needs the reader.
func (s *Sketch) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Here is a draft campaign for %s in %s.", plural(s.files, "file"), plural(s.drives, "drive"))
	if len(s.Needs) > 0 {
		fmt.Fprintf(&b, " %s you:\n", map[bool]string{true: "This one thing needs", false: fmt.Sprintf("These %d things need", len(s.Needs))}[len(s.Needs) == 1])
		for i, n := range s.Needs {
			fmt.Fprintf(&b, "  %d. line %d: %s: %s\n", i+1, n.Line, n.Key, n.Message)
		}
	} else {
		b.WriteString(" Nothing is left open.\n")
	}
	for _, u := range s.Unused {
		fmt.Fprintf(&b, "  not used: %s\n", u)
	}
	return b.String()
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
