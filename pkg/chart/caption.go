package chart

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// leftOutCaption names the drives that a picture does not hold.
func leftOutCaption(all []drive.LeftOut) []string {
	var lines []string
	for _, l := range all {
		lines = append(lines, fmt.Sprintf("Left out: %q (%s), while %v.", l.Drive, l.Configuration, l.Step))
	}
	return lines
}
