package session

import (
	"bufio"
	"encoding/json"
	"os"
	"path/filepath"
	"sync"
)

// Bounds of the history. The file is cut back to keepEntries when it is read
// with more than maxEntries in it.
const (
	maxEntries  = 12000
	keepEntries = 8000
	maxEntry    = 64 << 10 // bytes of one cell; a longer one is not kept
)

// entry is one executed cell: session number, cell number, source and the
// text of its result.
type entry struct {
	Session int    `json:"session"`
	Line    int    `json:"line"`
	Source  string `json:"source"`
	Output  string `json:"output,omitempty"`
}

// history keeps executed cells, in a file where there is one. One goroutine
// reads and writes it beside the cells, so that a cell does not wait for the
// disk.
type history struct {
	path    string
	session int
	entries []entry
	// unfinished is set while the file's last line lacks its end.
	unfinished bool

	work chan func()
	done sync.WaitGroup
}

func openHistory(path string) *history {
	h := &history{path: path, session: 1, work: make(chan func(), 256)}
	h.done.Go(func() {
		h.read()
		// Noted at once, so that a kernel that starts while this one runs takes
		// another number.
		h.append(entry{Session: h.session})
		for f := range h.work {
			f()
		}
	})
	return h
}

func (h *history) close() {
	close(h.work)
	h.done.Wait()
}

// add records a cell.
func (h *history) add(line int, source, output string) {
	if source == "" || len(source) > maxEntry {
		return
	}
	if len(output) > maxEntry {
		output = ""
	}
	h.work <- func() {
		e := entry{Session: h.session, Line: line, Source: source, Output: output}
		h.entries = append(h.entries, e)
		if len(h.entries) > maxEntries {
			h.entries = append([]entry(nil), h.entries[len(h.entries)-keepEntries:]...)
		}
		h.append(e)
	}
}

// find lets look choose among all entries, once everything added before is
// recorded.
func (h *history) find(look func(session int, all []entry) []entry) []entry {
	found := make(chan []entry)
	h.work <- func() { found <- look(h.session, h.entries) }
	return <-found
}

// read loads the file of former sessions. A file that cannot be read is left
// alone: history is a convenience.
func (h *history) read() {
	if h.path == "" {
		return
	}
	f, err := os.Open(h.path)
	if err != nil {
		return
	}
	defer f.Close()
	// Lines may be damaged, of any length, or cut off by a crash: the others
	// count all the same.
	lines := bufio.NewReader(f)
	for {
		line, err := lines.ReadBytes('\n')
		var e entry
		if json.Unmarshal(line, &e) == nil {
			h.session = max(h.session, e.Session+1)
			if e.Source != "" {
				h.entries = append(h.entries, e)
			}
		}
		if err != nil {
			h.unfinished = len(line) > 0
			break
		}
	}
	if len(h.entries) > maxEntries {
		h.entries = h.entries[len(h.entries)-keepEntries:]
		h.rewrite()
	}
}

// rewrite replaces the file by what is kept of it, in one step.
func (h *history) rewrite() {
	tmp, err := os.CreateTemp(filepath.Dir(h.path), ".history-*")
	if err != nil {
		return
	}
	defer os.Remove(tmp.Name())
	w := bufio.NewWriter(tmp)
	for _, e := range h.entries {
		line, _ := json.Marshal(e)
		w.Write(append(line, '\n'))
	}
	if w.Flush() == nil && tmp.Close() == nil && os.Rename(tmp.Name(), h.path) == nil {
		h.unfinished = false
	}
}

// append writes one line at the end of the file in a single write, so that
// several kernels can share it.
func (h *history) append(e entry) {
	if h.path == "" {
		return
	}
	line, err := json.Marshal(e)
	if err != nil {
		return
	}
	line = append(line, '\n')
	if h.unfinished {
		line, h.unfinished = append([]byte{'\n'}, line...), false
	}
	f, err := os.OpenFile(h.path, os.O_CREATE|os.O_WRONLY|os.O_APPEND, 0o600)
	if err != nil {
		if os.MkdirAll(filepath.Dir(h.path), 0o700) != nil {
			return
		}
		if f, err = os.OpenFile(h.path, os.O_CREATE|os.O_WRONLY|os.O_APPEND, 0o600); err != nil {
			return
		}
	}
	f.Write(line)
	f.Close()
}
