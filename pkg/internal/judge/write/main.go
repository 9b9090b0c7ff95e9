// Command write makes what the judge's harnesses and curious people want on
// disk: campaigns as they lie in a folder, with the truth beside.
//
//	go run ./pkg/internal/judge/write -seed 7 -kind messy -o DIR
//	go run ./pkg/internal/judge/write -seed 7 -n 20 -kind messy -o DIR     seeds 7 to 26, a folder each
//	go run ./pkg/internal/judge/write -seed 1 -n 30 -kind table            what the variants are like
//	go run ./pkg/internal/judge/write -kind pack -o testdata/packs         the workshop's packs
//	go run ./pkg/internal/judge/write -list
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/messy"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/pack"
)

func main() {
	seed := flag.Uint64("seed", 1, "`number` that decides everything")
	count := flag.Int("n", 1, "how many campaigns, or cars of each variant, with seeds from -seed on")
	kind := flag.String("kind", "messy", "what to write: messy (folders), pack (the packs of the workshop), or table (what the variants are like, to standard output)")
	rig := flag.String("rig", "", "what was taped to which engine (see -list); empty takes them in turn by seed")
	out := flag.String("o", "", "`folder` to write to; must not exist or be empty")
	list := flag.Bool("list", false, "list rigs and the table of ranges")
	flag.Parse()
	if *list {
		show()
		return
	}
	if *kind == "table" && flag.NArg() == 0 {
		if err := table(os.Stdout, max(*count, 2), *seed); err != nil {
			fmt.Fprintln(os.Stderr, "write:", err)
			os.Exit(1)
		}
		return
	}
	if *kind == "pack" && *out != "" && flag.NArg() == 0 {
		if err := packs(*out); err != nil {
			fmt.Fprintln(os.Stderr, "write:", err)
			os.Exit(1)
		}
		return
	}
	if *kind != "messy" || *out == "" || *count < 1 || flag.NArg() > 0 {
		fmt.Fprintln(os.Stderr, "write: -kind messy and -o FOLDER are needed")
		flag.Usage()
		os.Exit(2)
	}
	for i := range *count {
		dir := *out
		if *count > 1 {
			dir = filepath.Join(*out, fmt.Sprintf("seed-%d", *seed+uint64(i)))
		}
		f, err := messy.Make(*seed+uint64(i), *rig)
		if err == nil {
			err = f.Write(dir)
		}
		if err != nil {
			fmt.Fprintln(os.Stderr, "write:", err)
			os.Exit(1)
		}
		fmt.Printf("%s: %v\n", dir, f)
	}
}

// packs writes each pack of the workshop as one archive; a new one replaces it.
func packs(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	for _, p := range pack.All() {
		files, err := p.Files()
		if err != nil {
			return err
		}
		data, err := p.Zip(files)
		if err != nil {
			return err
		}
		path := filepath.Join(dir, p.Name+".zip")
		if err := os.WriteFile(path, data, 0o644); err != nil {
			return err
		}
		fmt.Printf("%s: %d files, %d bytes\n", path, len(files), len(data))
	}
	return nil
}

func show() {
	for _, r := range messy.Rigs() {
		fmt.Printf("rig %-24s %s\n", r.Name, r.Why)
	}
	for _, v := range append(car.Variants(), car.Faults()...) {
		fmt.Printf("variant %-20s %s\n", v.Name, v.Why)
	}
	for _, r := range car.Ranges() {
		fmt.Printf("%-36s %10g %10g  %-12s %s\n", r.Name, r.Low, r.High, r.Unit, r.Source)
	}
}
