package frame

import "slices"

// takesFile are the methods that are given the name of a file.
var takesFile = []string{"WriteArrow", "WriteCSV", "WriteParquet"}

// NamesFor returns the names of the columns, which a text may be that a method is
// given; of those that take a file, none. A notebook completes them between
// quotes.
func (f *Frame) NamesFor(method string) []string {
	if slices.Contains(takesFile, method) {
		return nil
	}
	return f.Names()
}

// DescribeName says what a column holds: its unit, how many rows it has and how
// many without a value, and its range, or some of its texts. It says nothing where
// there is no such column.
func (f *Frame) DescribeName(name string) string {
	c, err := f.column(name)
	if err != nil {
		return ""
	}
	return c.Describe()
}
