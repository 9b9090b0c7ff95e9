// Command generate writes the demo's files into testdata/demo, or with -check
// says whether the files there are the ones that the recorded seed makes.
//
//	go run ./testdata/generate [-check] [folder]
package main

import (
	"bytes"
	"flag"
	"fmt"
	"log"
	"os"
	"path/filepath"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

func main() {
	log.SetFlags(0)
	check := flag.Bool("check", false, "compare instead of writing")
	flag.Parse()
	dir := "testdata/demo"
	if flag.NArg() > 0 {
		dir = flag.Arg(0)
	}
	files, err := simulate.DemoFiles(simulate.DemoSeed)
	if err != nil {
		log.Fatal(err)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		log.Fatal(err)
	}
	var names []string
	for name := range files {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		path := filepath.Join(dir, name)
		old, err := os.ReadFile(path)
		if err == nil && bytes.Equal(old, files[name]) {
			continue
		}
		if *check {
			log.Fatalf("%s is not what seed %d makes; run: go run ./testdata/generate", path, simulate.DemoSeed)
		}
		if err := os.WriteFile(path, files[name], 0o644); err != nil {
			log.Fatal(err)
		}
		fmt.Println("wrote", path)
	}
}
