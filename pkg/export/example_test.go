package export_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/export"
)

// A drive of the demo as a table for a spreadsheet, one row every ten minutes.
func ExampleCSV() {
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
	dir, err := os.MkdirTemp("", "export")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "drive.csv")
	options := export.DefaultOptions()
	options.Step, options.Roles = 600, []drive.Role{drive.Ambient, drive.TopTank}
	if err := export.CSV(d, path, options); err != nil {
		fmt.Println(err)
		return
	}
	text, err := os.ReadFile(path)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(strings.SplitN(string(text), "\n", 2)[0])
	fmt.Println(strings.Count(string(text), "\n"), "lines")
	// It is never overwritten.
	fmt.Println(export.CSV(d, path, options) != nil)
	// Output:
	// time,elapsed (s),ambient (°C),top-tank (°C),drive,configuration
	// 6 lines
	// true
}
