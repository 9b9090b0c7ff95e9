package survey

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
)

// Lost returns what was lost of a file that is used: more rows or cells than one
// in fifty, a stretch on another clock, a column that can't be read.
func (f *File) Lost() []estimate.Warning {
	if !f.Used || len(f.ways) == 0 {
		return nil
	}
	var lost []estimate.Warning
	for _, w := range f.ways[0].Recording.Warnings {
		if slices.Contains([]estimate.Kind{estimate.LostReadings, account.OtherColumns, account.TimeUnit}, w.Kind) {
			lost = append(lost, estimate.Warning{Kind: w.Kind, Subject: f.Path, Text: w.Text})
		}
	}
	return lost
}
