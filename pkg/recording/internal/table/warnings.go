package table

import "github.com/bonnetbook/bonnetbook/pkg/estimate"

// Warnings are in the order in which they were found.
type Warnings []estimate.Warning

// Add is the one place where a warning is made. The subject is a column by its
// name, or the file by that without its folder; the text does not repeat it.
func (w *Warnings) Add(kind estimate.Kind, subject, text string) {
	*w = append(*w, estimate.Warning{Kind: kind, Subject: subject, Text: text})
}
