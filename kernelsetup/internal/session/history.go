package session

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
)

// Bounds of the history. The file is cut back to keepEntries when it is read
// with more than maxEntries in it, or with more bytes than maxFile.
const (
	maxEntries  = 12000
	keepEntries = 8000
	maxEntry    = 64 << 10 // bytes of one cell; a longer one is not kept
	maxLine     = 1 << 20  // bytes of one line of the file; a longer one is damaged
	maxFile     = 64 << 20 // what is read of a file, its end
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

	mu     sync.RWMutex // of closed: a cell may end while the kernel does
	closed bool
}

func openHistory(path string) *history {
	h := &history{path: path, session: 1, work: make(chan func(), 256)}
	// A pipe would hold up the kernel for ever, a device fill its memory.
	if err := notAFile(path); err != nil {
		fmt.Fprintf(os.Stderr, "history: %v; cells are remembered until the kernel ends\n", err)
		h.path = ""
	}
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
	h.mu.Lock()
	h.closed = true
	close(h.work)
	h.mu.Unlock()
	h.done.Wait()
}

// do queues work; false once the history is closed.
func (h *history) do(f func()) bool {
	h.mu.RLock()
	defer h.mu.RUnlock()
	if !h.closed {
		h.work <- f
	}
	return !h.closed
}

// add records a cell.
func (h *history) add(line int, source, output string) {
	if source == "" || len(source) > maxEntry {
		return
	}
	if len(output) > maxEntry {
		output = ""
	}
	h.do(func() {
		e := entry{Session: h.session, Line: line, Source: source, Output: output}
		h.entries = append(h.entries, e)
		if len(h.entries) > maxEntries {
			h.entries = append([]entry(nil), h.entries[len(h.entries)-keepEntries:]...)
		}
		h.append(e)
	})
}

// find lets look choose among all entries, once everything added before is
// recorded; none once the history is closed.
func (h *history) find(look func(session int, all []entry) []entry) []entry {
	found := make(chan []entry)
	if !h.do(func() { found <- look(h.session, h.entries) }) {
		return nil
	}
	return <-found
}

// notAFile returns an error where something is at path that holds no text.
func notAFile(path string) error {
	switch info, err := os.Stat(path); {
	case path == "" || err != nil: // what is missing can be made
		return nil
	case info.IsDir():
		return fmt.Errorf("%s is a folder, not a file", path)
	case !info.Mode().IsRegular():
		return fmt.Errorf("%s is a pipe, a device or a socket, not a file", path)
	}
	return nil
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
	cut := false
	if info, err := f.Stat(); err == nil && info.Size() > maxFile {
		_, err = f.Seek(-maxFile, io.SeekEnd)
		cut = err == nil
	}
	// Lines may be damaged, of any length, or cut off by a crash: the others
	// count all the same.
	lines := bufio.NewReaderSize(io.LimitReader(f, maxFile), maxLine)
	for {
		line, err := lines.ReadSlice('\n')
		if errors.Is(err, bufio.ErrBufferFull) { // no line of ours; its end is none either
			continue
		}
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
	if len(h.entries) > maxEntries || cut {
		h.entries = h.entries[max(0, len(h.entries)-keepEntries):]
		h.rewrite()
	}
}

// rewrite replaces the file by what is kept of it, in one step.
func (h *history) rewrite() {
	var text bytes.Buffer
	for _, e := range h.entries {
		line, _ := json.Marshal(e)
		text.Write(append(line, '\n'))
	}
	if atomicfile.Write(h.path, text.Bytes(), 0o600) == nil {
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
	f, err := h.open()
	if errors.Is(err, fs.ErrNotExist) && os.MkdirAll(filepath.Dir(h.path), 0o700) == nil {
		f, err = h.open()
	}
	if err != nil {
		return
	}
	defer f.Close()
	if n, err := f.Write(line); err != nil {
		h.unfinished = n > 0 // the disk is full, for example
	}
}

// open opens the file for a line at its end. It asks again what is there: the
// kernel runs for days.
func (h *history) open() (*os.File, error) {
	if err := notAFile(h.path); err != nil {
		return nil, err
	}
	return os.OpenFile(h.path, os.O_CREATE|os.O_WRONLY|os.O_APPEND, 0o600)
}
