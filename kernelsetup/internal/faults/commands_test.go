//go:build linux && amd64

package faults

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A command is one that writes files.
type command struct {
	name string
	args []string
	// files are what it writes, from its folder on.
	files []string
	// before are files that are there, beside the notebooks.
	before map[string]string
	// ready runs before it, for what can't be said in before.
	ready func(t *testing.T, folder string)
	// whole reports whether a file of another content than before or after
	// the command is whole all the same; nil for none.
	whole func(data []byte) bool
	// until ends a command that does not end by itself.
	until func(folder string, p *os.Process)
	// once says that the command refuses to write a file that is there.
	once bool
	// mode is what the first file has and keeps; 0 for what comes.
	mode fs.FileMode
	// link is the first file's name, which leads to it; empty for none.
	link string
}

// notebook is one with cells of these sources.
func notebook(cells ...string) string {
	type cell struct {
		Type     string         `json:"cell_type"`
		ID       string         `json:"id"`
		Source   string         `json:"source"`
		Metadata map[string]any `json:"metadata"`
		Count    *int           `json:"execution_count"`
		Outputs  []any          `json:"outputs"`
	}
	all := []cell{}
	for i, c := range cells {
		stream := map[string]any{"output_type": "stream", "name": "stdout", "text": "stored\n"}
		all = append(all, cell{"code", fmt.Sprint("c", i), c, map[string]any{}, nil, []any{stream}})
	}
	text, _ := json.Marshal(map[string]any{"cells": all, "nbformat": 4, "nbformat_minor": 5,
		"metadata": map[string]any{"kernelspec": map[string]any{"name": "bonnetbook", "display_name": "Go", "language": "go"}}})
	return string(text)
}

const hello = "import \"fmt\"\nfmt.Println(\"hello\")"

// saving writes with everything of the library that writes.
var saving = []string{
	`import (
	"time"
	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/chart"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/export"
	. "github.com/bonnetbook/bonnetbook/pkg/notebook"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)`,
	`s := Must(series.New("x", series.Speed, time.Unix(1e9, 0), []float64{0, 1, 2, 3}, []float64{1, 2, 3, 4}))
d := Must(drive.Assemble("one", "open filters", []drive.Part{{Device: "logger", File: "a.csv", Inputs: []drive.Input{{Role: drive.Speed, Series: s, Column: "v"}}}}))`,
	`Must0(export.CSV(d, "drive.csv", export.DefaultOptions()))`,
	`Must0(export.Parquet(d, "drive.parquet", export.DefaultOptions()))`,
	`Must0(chart.Curves("A", "x", "y", chart.Curve{Name: "a", X: []float64{0, 1}, Y: []float64{0, 1}}).Save("picture.svg"))`,
	`Must0(Must(recording.Open("logs/a.csv", recording.Options{})).Layout.Save("layout.toml"))`,
	`Must(Must(campaign.Draft("logs")).Save()).Written`,
}

func log() string {
	var b strings.Builder
	b.WriteString("time,Air (°C),Duct (°C)\n")
	for i := range 60 {
		fmt.Fprintf(&b, "2026-05-03 09:%02d:%02d,%d.5,%d.5\n", i/6, i%6*10, 20+i%7, 30+i%5)
	}
	return b.String()
}

// shortCampaign is one of four drives of ten minutes: enough for a page.
func shortCampaign() map[string]string {
	text := "[car]\nname = \"an invented car\"\n[question]\nprimary = \"road_middle\"\ndelta = \"3 K\"\n" +
		"[[configuration]]\nname = \"open\"\n[[configuration]]\nname = \"ducted\"\n" +
		"[[device]]\nname = \"logger\"\n[device.channels]\n\"Air (°C)\" = \"ambient\"\n\"Duct (°C)\" = \"intake\"\n"
	files := map[string]string{}
	for i, name := range []string{"a", "b", "c", "d"} {
		files["logs/"+name+".csv"] = strings.ReplaceAll(log(), "2026-05-03", fmt.Sprintf("2026-05-%02d", 3+i))
		text += fmt.Sprintf("[[drive]]\nname = %q\nconfiguration = %q\n[[drive.file]]\npath = %q\ndevice = \"logger\"\n", name, []string{"open", "ducted"}[i/2], name+".csv")
	}
	files["logs/campaign.toml"] = text
	return files
}

// history is one that is too long, so that it is cut back.
func history() string {
	var b strings.Builder
	for i := range 12001 {
		fmt.Fprintf(&b, "{\"session\":1,\"line\":%d,\"source\":\"x\"}\n", i+1)
	}
	return b.String()
}

// wholeHistory is one of lines that are all whole, but for one that is being
// added at the end: as many as before or as are kept, or one more.
func wholeHistory(data []byte) bool {
	good := 0
	lines := bytes.Split(bytes.TrimSuffix(data, []byte("\n")), []byte("\n"))
	for i, l := range lines {
		if json.Valid(l) {
			good++
		} else if i != len(lines)-1 {
			return false
		}
	}
	return good == 12001 || good == 12002 || good == 8000 || good == 8001
}

// wholePage is a page to its end.
func wholePage(data []byte) bool {
	return bytes.HasPrefix(data, []byte("<!DOCTYPE html>")) && bytes.HasSuffix(bytes.TrimSpace(data), []byte("</html>"))
}

// listens makes a connection file for the kernel.
func listens(t *testing.T, folder string) {
	c := map[string]any{"transport": "tcp", "ip": "127.0.0.1", "key": "k", "signature_scheme": "hmac-sha256"}
	for _, name := range []string{"shell_port", "iopub_port", "stdin_port", "control_port", "hb_port"} {
		ln, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		defer ln.Close()
		c[name] = ln.Addr().(*net.TCPAddr).Port
	}
	text, _ := json.Marshal(c)
	if err := os.WriteFile(filepath.Join(folder, "connection.json"), text, 0o600); err != nil {
		t.Fatal(err)
	}
}

const historyFile = "data/bonnetbook/history.jsonl"

// cutBack waits until the history is, at most for a while, and ends the kernel.
func cutBack(folder string, p *os.Process) {
	path := filepath.Join(folder, historyFile)
	for end := time.Now().Add(3 * time.Second); time.Now().Before(end) && p.Signal(syscall.Signal(0)) == nil; time.Sleep(5 * time.Millisecond) {
		if data, err := os.ReadFile(path); err == nil && bytes.Count(data, []byte("\n")) == 8001 {
			break
		}
	}
	p.Kill()
}

// commands are all that write: each for a new file, and over an earlier one
// where the command replaces it.
func commands() []command {
	a, b := notebook(hello), notebook(hello, `fmt.Println("again")`)
	older := func(args ...string) func(*testing.T, string) {
		return func(t *testing.T, folder string) {
			os.WriteFile(filepath.Join(folder, "older.ipynb"), []byte(notebook("1+1")), 0o644)
			runPlain(t, folder, append(args, "older.ipynb")...)
		}
	}
	return []command{
		{name: "run, a new copy", args: []string{"run", "-q", "-o", "out.ipynb", "a.ipynb"}, files: []string{"out.ipynb"}, before: map[string]string{"a.ipynb": a}},
		{name: "run, over an earlier copy", args: []string{"run", "-q", "-o", "out.ipynb", "a.ipynb"}, files: []string{"out.ipynb"}, before: map[string]string{"a.ipynb": a},
			ready: older("run", "-q", "-o", "out.ipynb")},
		{name: "run, two into a folder", args: []string{"run", "-q", "-o", "out/", "a.ipynb", "b.ipynb"}, files: []string{"out/a.ipynb", "out/b.ipynb"},
			before: map[string]string{"a.ipynb": a, "b.ipynb": b}},
		{name: "report, over an earlier page", args: []string{"report", "-q", "-o", "page.html", "a.ipynb"}, files: []string{"page.html"}, before: map[string]string{"a.ipynb": a},
			ready: older("report", "-q", "-o", "page.html"), mode: 0o600},
		{name: "report, two with an index", whole: wholePage, // the index tells what failed
			args: []string{"report", "-q", "-o", "pages", "a.ipynb", "b.ipynb"}, files: []string{"pages/a.html", "pages/b.html", "pages/index.html"},
			before: map[string]string{"a.ipynb": a, "b.ipynb": b}},
		{name: "program, over an earlier one", args: []string{"program", "-o", "p.go", "a.ipynb"}, files: []string{"p.go"}, before: map[string]string{"a.ipynb": a},
			ready: older("program", "-o", "p.go"), mode: 0o640},
		{name: "strip", args: []string{"strip", "a.ipynb"}, files: []string{"a.ipynb"}, before: map[string]string{"a.ipynb": a}, mode: 0o600},
		{name: "strip through a link", args: []string{"strip", "link.ipynb"}, files: []string{"far/a.ipynb"}, before: map[string]string{"far/a.ipynb": a}, mode: 0o664, link: "link.ipynb"},
		{name: "install", args: []string{"install", "--dir", "data"}, files: []string{"data/kernels/bonnetbook/kernel.json", "data/kernels/bonnetbook/logo-svg.svg"}},
		{name: "install again", args: []string{"install", "--dir", "data"}, files: []string{"data/kernels/bonnetbook/kernel.json", "data/kernels/bonnetbook/logo-svg.svg"},
			ready: func(t *testing.T, folder string) {
				runPlain(t, folder, "install", "--dir", "data")
				path := filepath.Join(folder, "data/kernels/bonnetbook/kernel.json")
				text, _ := os.ReadFile(path)
				os.WriteFile(path, bytes.Replace(text, []byte("Go (Bonnetbook)"), []byte("An older one"), 1), 0o644)
			}},
		{name: "cells that save: CSV, Parquet, picture, layout, campaign", args: []string{"run", "-q", "-o", "out.ipynb", "s.ipynb"},
			files:  []string{"drive.csv", "drive.parquet", "picture.svg", "layout.toml", "logs/campaign.toml"},
			once:   true,
			before: map[string]string{"s.ipynb": notebook(saving...), "logs/a.csv": log()}},
		{name: "draft, a new campaign", args: []string{"draft", "-save", "logs"}, files: []string{"logs/campaign.toml"}, before: map[string]string{"logs/a.csv": log()}},
		{name: "draft, brought up to date", args: []string{"draft", "-save", "logs"}, files: []string{"logs/campaign.toml"}, before: map[string]string{"logs/a.csv": log()},
			ready: func(t *testing.T, folder string) {
				runPlain(t, folder, "draft", "-save", "logs")
				os.WriteFile(filepath.Join(folder, "logs/b.csv"), []byte(strings.ReplaceAll(log(), "2026-05-03", "2026-05-04")), 0o644)
			}, mode: 0o600},
		{name: "verdict, over an earlier page", args: []string{"verdict", "-o", "page.html", "logs"}, files: []string{"page.html"}, before: shortCampaign(),
			ready: func(t *testing.T, folder string) {
				runPlain(t, folder, "verdict", "-delta", "5", "-o", "page.html", "logs")
			}, mode: 0o600},
		{name: "course, what is missing of it", args: []string{"course", "course"},
			files: []string{"course/START_HERE.md", "course/notebooks/01_see_first_drive.ipynb", "course/testdata/demo/campaign.toml"},
			ready: func(t *testing.T, folder string) {
				runPlain(t, folder, "course", "course")
				for _, name := range []string{"START_HERE.md", "notebooks/01_see_first_drive.ipynb", "testdata/demo/campaign.toml"} {
					os.Remove(filepath.Join(folder, "course", name))
				}
			}},
		{name: "history, cut back", args: []string{"kernel", "connection.json"}, files: []string{historyFile}, before: map[string]string{historyFile: history()},
			ready: listens, whole: wholeHistory, until: cutBack, mode: 0o600},
	}
}

// prepare makes the command's folder anew, always under one name.
func (c command) prepare(t *testing.T, folder string) {
	t.Helper()
	if err := os.RemoveAll(folder); err != nil {
		t.Fatal(err)
	}
	os.MkdirAll(folder, 0o755)
	for name, text := range c.before {
		path := filepath.Join(folder, name)
		os.MkdirAll(filepath.Dir(path), 0o755)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if c.ready != nil {
		c.ready(t, folder)
	}
	if c.mode != 0 {
		os.Chmod(filepath.Join(folder, c.files[0]), c.mode)
	}
	if c.link != "" {
		os.Symlink(c.files[0], filepath.Join(folder, c.link))
	}
}

// program is the path of the program, which TestMain builds.
var program string

func start(folder string, args ...string) *exec.Cmd {
	c := exec.Command(program, args...)
	c.Dir = folder
	c.Env = append(os.Environ(), "XDG_DATA_HOME="+filepath.Join(folder, "data"), "HOME="+folder, "BONNETBOOK_CACHE=off", "TMPDIR="+filepath.Dir(program),
		"PATH=/nonexistent") // install asks what else is there
	return c
}

func runPlain(t *testing.T, folder string, args ...string) {
	t.Helper()
	if out, err := start(folder, args...).CombinedOutput(); err != nil {
		t.Fatalf("%q: %v\n%s", args, err, out)
	}
}

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "faults")
	if err != nil {
		panic(err)
	}
	program = filepath.Join(dir, "bonnetbook")
	if out, err := exec.Command("go", "build", "-o", program, "github.com/bonnetbook/bonnetbook/kernelsetup").CombinedOutput(); err != nil {
		fmt.Printf("%v\n%s", err, out)
		os.Exit(1)
	}
	status := m.Run()
	os.RemoveAll(dir)
	os.Exit(status)
}
