package main

import (
	"flag"
	"fmt"
	"path/filepath"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/course"
)

func runCourse(f *flag.FlagSet, args []string) error {
	dirs, err := parse(f, args, 1, 1, "one folder")
	if err != nil {
		return err
	}
	w, err := course.Write(dirs[0])
	if err != nil {
		return err
	}
	switch {
	case w.New == 0:
		fmt.Printf("The course is in %s already: %d files, all as they were written.\n", dirs[0], w.Same)
	case w.Same > 0:
		fmt.Printf("The course is in %s: %d files written, %d were there.\n", dirs[0], w.New, w.Same)
	default:
		fmt.Printf("The course is in %s: %d files.\n", dirs[0], w.New)
	}
	fmt.Printf("Begin with %s.\n", filepath.Join(dirs[0], course.FirstPage))
	return nil
}
