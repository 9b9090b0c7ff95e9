package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/document"
)

// asJSON adds the flag that all commands share which answer from files.
func asJSON(f *flag.FlagSet) *bool {
	return f.Bool("json", false, "write one JSON document instead of text")
}

// say writes a document as JSON, or as text.
func say(json bool, doc any, text func(w io.Writer)) error {
	if json {
		return document.Write(os.Stdout, doc)
	}
	text(os.Stdout)
	return nil
}

// A progress tells on standard error what is being done, from one second on.
type progress struct {
	mu   sync.Mutex
	what string
	stop chan struct{}
	done sync.WaitGroup
}

func startProgress(what string) *progress {
	p := &progress{what: what, stop: make(chan struct{})}
	began := time.Now()
	p.done.Go(func() {
		wait := time.Second
		for {
			select {
			case <-p.stop:
				return
			case <-time.After(wait):
			}
			p.mu.Lock()
			now := p.what
			p.mu.Unlock()
			fmt.Fprintf(os.Stderr, "%.0f s: %s …\n", time.Since(began).Seconds(), now)
			wait = 5 * time.Second
		}
	})
	return p
}

// now says what comes next.
func (p *progress) now(what string) {
	p.mu.Lock()
	p.what = what
	p.mu.Unlock()
}

// end ends the telling.
func (p *progress) end() {
	close(p.stop)
	p.done.Wait()
}

func runAccount(f *flag.FlagSet, args []string) error {
	json := asJSON(f)
	paths, err := parse(f, args, 1, -1, "at least one file")
	if err != nil {
		return err
	}
	p := startProgress("reading")
	files := []document.File{}
	for i, path := range paths {
		p.now(fmt.Sprintf("reading file %d of %d, %s", i+1, len(paths), path))
		files = append(files, document.AccountFor(path))
	}
	p.end()
	err = say(*json, files, func(w io.Writer) {
		for _, file := range files {
			file.Text(w)
		}
	})
	if err == nil && document.Failed(files) {
		if *json {
			for _, file := range files {
				if file.Error != nil {
					fmt.Fprintln(os.Stderr, "bonnetbook account:", *file.Error)
				}
			}
		}
		return errTold
	}
	return err
}
