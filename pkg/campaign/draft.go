package campaign

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/bonnetbook/bonnetbook/internal/pathname"
	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/draft"
	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
)

// What a draft consists of.
type (
	// Sketch is a campaign file that was drafted from a folder of logs.
	Sketch = draft.Sketch
	// Saved says what [Sketch.Save] did.
	Saved = draft.Saved
	// LineDifference is a line that only one of two texts has.
	LineDifference = draft.LineDifference
	// DraftFile is one file of the folder or below.
	DraftFile = draft.File
	// DraftDevice is a device that was found.
	DraftDevice = draft.Device
	// DraftClock is how a device's clock stands to the others'.
	DraftClock = draft.Clock
	// DraftColumn is a column of a device.
	DraftColumn = draft.Column
	// DraftDrive is one drive.
	DraftDrive = draft.Drive
	// DraftQuestion is something that only the reader can know.
	DraftQuestion = draft.Question
	// QuestionKind says what a question is about.
	QuestionKind = draft.QuestionKind
	// DraftAnswer answers one question.
	DraftAnswer = draft.Answer
	// DraftOptions are what a draft is told beside the folder.
	DraftOptions = draft.Options
	// DraftMemory keeps what was read of a folder from one draft to the next.
	DraftMemory = draft.Memory
	// FileDrive is a drive that was put together from files alone.
	FileDrive = draft.FileDrive
)

// The kinds of questions.
const (
	AskRole          = draft.AskRole
	AskConfiguration = draft.AskConfiguration
	AskDateOrder     = draft.AskDateOrder
	AskUnit          = draft.AskUnit
	AskZone          = draft.AskZone
	AskEngine        = draft.AskEngine
	AskWeather       = draft.AskWeather
	AskMounting      = draft.AskMounting
	AskPrimary       = draft.AskPrimary
	AskDelta         = draft.AskDelta
	AskOther         = draft.AskOther
)

// Assumed is the kind of a remark on what was taken without an answer.
const Assumed = draft.Assumed

// DefaultDraftOptions answers nothing; it is the zero value.
func DefaultDraftOptions() DraftOptions { return draft.DefaultOptions() }

// Draft looks at every file in the folder and below and drafts a campaign:
// files with the same columns are one device's, what was recorded at the same
// time is one drive, whatever the devices' clocks show. Where the folder has a
// campaign file already, what it says counts, and only what is new is added.
// Nothing is written before [Sketch.Save]. It fails where the folder can't be
// read or holds no readable log, and where its campaign file is no TOML.
func Draft(folder string) (*Sketch, error) { return DraftWith(folder, DefaultDraftOptions()) }

// DraftWith is [Draft] with answers. It also fails where an answer is to no
// question or can't be used, and says which ones there are.
func DraftWith(folder string, options DraftOptions) (*Sketch, error) {
	folder = pathname.Expand(folder)
	if _, err := os.Stat(folder); errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("there is no folder %s%s; give the folder with the logs: %w", folder, pathname.Sought(folder), err)
	}
	if info, err := os.Stat(folder); err == nil && !info.IsDir() {
		return nil, fmt.Errorf("%s is a file; give the folder with the logs of all drives", folder)
	}
	path := filepath.Join(folder, draft.FileName)
	var text []byte
	_, err := os.Stat(path)
	had := !errors.Is(err, fs.ErrNotExist)
	if had {
		if text, err = readBounded(path); err != nil {
			return nil, err
		}
	}
	told, err := toldBy(path, string(text))
	if err != nil {
		return nil, err
	}
	return draft.Make(folder, options, draft.Existing{There: had, Text: string(text), Told: told, Read: readBounded}, func(path string, text []byte) error {
		_, err := check(path, text)
		return err
	})
}

// FromFiles makes requests for [drive.Join] of files without a campaign, as a
// draft would group them; what a draft would ask is assumed and said. A file
// of several sessions gives several drives. It fails where none of the files
// can be read, and names those that can't beside the drives of the others.
func FromFiles(paths ...string) (drives []FileDrive, unread []string, err error) {
	all := make([]string, len(paths))
	for i, p := range paths {
		all[i] = pathname.Expand(p)
	}
	return draft.FromFiles(all...)
}

// toldBy reads what the text says. A file that can't be opened yet, for a "?"
// in it, can be read for that. It fails where the text is no TOML.
func toldBy(path, text string) (*draft.Told, error) {
	t := &draft.Told{Devices: map[string]*draft.ToldDevice{}, Tables: map[string]draft.Table{}}
	if strings.TrimSpace(text) == "" {
		return t, nil
	}
	root, p := parse([]byte(text))
	if p != nil {
		p.File = path
		return nil, Problems{p}
	}
	for name, n := range root.fields {
		if n.fields != nil {
			t.Tables[name] = n.told()
		}
	}
	for _, n := range root.tables("configuration") {
		t.Configurations = append(t.Configurations, n.told())
	}
	for _, n := range root.tables("device") {
		d := &draft.ToldDevice{Table: n.told()}
		for key, at := range map[string]**draft.Table{"channels": &d.Channels, "layout": &d.Layout} {
			if c := n.fields[key]; c != nil && c.fields != nil {
				table := c.told()
				*at = &table
			}
		}
		d.LayoutElsewhere = n.fields["layout"] != nil && d.Layout == nil
		t.Devices[d.Name()] = d
	}
	for _, n := range root.tables("drive") {
		d := &draft.ToldDrive{Table: n.told(), Parts: map[string]string{}}
		for _, f := range n.tables("file") {
			session := 0
			if s := f.fields["session"]; s != nil {
				if k, ok := s.scalar.(int64); ok {
					session = int(k)
				}
			}
			for _, p := range f.texts("path") {
				d.Parts[survey.Part(p, session)] = f.told().Keys["device"].Content
			}
		}
		t.Drives = append(t.Drives, d)
	}
	return t, nil
}

// told returns the table's keys with their texts and lines.
func (n *node) told() draft.Table {
	t := draft.Table{Line: n.line, Keys: map[string]draft.Value{}}
	for key, f := range n.fields {
		text, _ := f.scalar.(string)
		t.Keys[key] = draft.Value{Content: text, Line: f.line}
	}
	return t
}

// tables returns the tables under a key; none where it is something else.
func (n *node) tables(key string) []*node {
	if c := n.fields[key]; c != nil {
		return c.items
	}
	return nil
}

// texts returns the text or the list of texts under a key.
func (n *node) texts(key string) []string {
	c := n.fields[key]
	if c == nil {
		return nil
	}
	if s, ok := c.scalar.(string); ok {
		return []string{s}
	}
	var all []string
	for _, i := range c.items {
		if s, ok := i.scalar.(string); ok {
			all = append(all, s)
		}
	}
	return all
}
