// Command picture draws the README's picture from the demo.
//
//	go run ./testdata/picture docs/first-drive.png
package main

import (
	"log"
	"os"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/chart"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

func main() {
	log.SetFlags(0)
	if len(os.Args) != 2 {
		log.Fatal("usage: go run ./testdata/picture FILE.png")
	}
	png, err := draw()
	if err != nil {
		log.Fatal(err)
	}
	if err := os.WriteFile(os.Args[1], png, 0o644); err != nil {
		log.Fatal(err)
	}
}

func draw() ([]byte, error) {
	c, err := campaign.Open("testdata/demo/campaign.toml")
	if err != nil {
		return nil, err
	}
	d, err := c.Drive("open filters, first run")
	if err != nil {
		return nil, err
	}
	opening, err := thermostat.Find(d)
	if err != nil {
		return nil, err
	}
	pieces, err := segment.SplitAfter(d, opening, segment.DefaultRules())
	if err != nil {
		return nil, err
	}
	return chart.Temperatures(d, chart.Opening(opening), chart.Segments(pieces)).PNG()
}
