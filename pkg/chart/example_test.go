package chart_test

import (
	"fmt"
	"os"
	"path/filepath"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/chart"
)

// A drive of the demo as a picture in a file; the last expression of a cell
// shows it in a notebook.
func ExampleTemperatures() {
	c, err := campaign.Open("../../testdata/demo/campaign.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := c.Drive("open filters, first run")
	if err != nil {
		fmt.Println(err)
		return
	}
	figure := chart.Temperatures(d)
	dir, err := os.MkdirTemp("", "chart")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "drive.png")
	if err := figure.Save(path); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(figure)
	// It is never overwritten.
	fmt.Println(figure.Save(path) != nil)
	// Output:
	// [chart] open filters, first run: intake up to 67 °C, 18 °C outside: top-tank, bottom-tank, radiator-air, engine-bay, intake, ambient, speed
	// true
}
