//go:build proof && linux && amd64

package faults

import (
	"fmt"
	"testing"
)

// Every point of every command. Prints the table that is stored in
// testdata/points.txt.
func TestEveryPoint(t *testing.T) {
	var sum tally
	table := "command: go test -tags proof -run TestEveryPoint -v ./kernelsetup/internal/faults\n" +
		"points: kills before and after, failures of, and a full disk from a system call on\n" +
		fmt.Sprintf("%-60s %6s %9s %9s %14s\n", "writing command", "points", "old files", "new files", "left, then gone")
	for _, c := range commands() {
		got := sweep(t, c, 1)
		table += fmt.Sprintf("%-60s %6d %9d %9d %14d\n", c.name, got.points, got.old, got.new, got.leftovers)
		sum.points, sum.old, sum.new, sum.leftovers = sum.points+got.points, sum.old+got.old, sum.new+got.new, sum.leftovers+got.leftovers
	}
	table += fmt.Sprintf("%-60s %6d %9d %9d %14d\n", "all", sum.points, sum.old, sum.new, sum.leftovers)
	fmt.Print(table)
	if sum.points < 500 {
		t.Errorf("%d points, want 500", sum.points)
	}
}
