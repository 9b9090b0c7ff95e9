package main

import (
	"bufio"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/document"
	"github.com/bonnetbook/bonnetbook/pkg/campaign"
)

// answersGiven collects -answer ID=VALUE.
type answersGiven []campaign.DraftAnswer

func (a *answersGiven) String() string { return "" }

func (a *answersGiven) Set(s string) error {
	id, value, ok := strings.Cut(s, "=")
	if !ok || strings.TrimSpace(id) == "" {
		return errors.New("want ID=VALUE, with the ID of a question")
	}
	*a = append(*a, campaign.DraftAnswer{ID: strings.TrimSpace(id), Value: unquoted(value)})
	return nil
}

// unquoted takes off quotation marks that a shell or a file left.
func unquoted(s string) string {
	s = strings.TrimSpace(s)
	if len(s) >= 2 && s[0] == '"' && s[len(s)-1] == '"' {
		return s[1 : len(s)-1]
	}
	return s
}

// fromFile adds the answers of a file, one a line.
func (a *answersGiven) fromFile(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	lines := bufio.NewScanner(f)
	for n := 1; lines.Scan(); n++ {
		text := strings.TrimSpace(lines.Text())
		if text == "" || strings.HasPrefix(text, "#") {
			continue
		}
		if err := a.Set(text); err != nil {
			return fmt.Errorf("%s:%d: %q: %w", path, n, text, err)
		}
	}
	if err := lines.Err(); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return nil
}

func runDraft(f *flag.FlagSet, args []string) error {
	json := asJSON(f)
	var given answersGiven
	f.Var(&given, "answer", "answer a question: ID=VALUE, as configuration=1-3=open,4-7=duct or\nconfiguration=1,3,5=open,2,4=duct; may be repeated")
	file := addPath(f, "answers", "read answers from `FILE`, one ID=VALUE a line")
	save := f.Bool("save", false, "write campaign.toml into the folder, or bring the one there up to date;\nwhat you wrote into it stays")
	all := f.Bool("all", false, "also ask what the verdict can do without")
	folders, err := parse(f, args, 1, 1, "one folder")
	if err != nil {
		return err
	}
	var answers answersGiven
	if *file != "" {
		if err := answers.fromFile(*file); err != nil {
			return err
		}
	}
	answers = append(answers, given...)
	p := startProgress("reading the files of " + folders[0])
	s, err := campaign.DraftWith(folders[0], campaign.DraftOptions{Answers: answers, Closer: true})
	p.end()
	if err != nil {
		return err
	}
	path := ""
	if *save {
		saved, err := s.Save()
		if err != nil {
			return err
		}
		path = saved.Path
		switch {
		case saved.Updated:
			fmt.Fprintln(os.Stderr, saved)
		case saved.Written:
			fmt.Fprintln(os.Stderr, path, "is written")
		default:
			fmt.Fprintln(os.Stderr, path, "holds all this already")
		}
	}
	d := document.DraftOf(s, *all, path)
	return say(*json, d, func(w io.Writer) { d.Text(w) })
}
