package notebook

// Describer is a value that can say what its names stand for: a drive its
// channels, a table its columns. A kernel that has one in a variable tells it
// where the cursor is on such a name between quotes.
type Describer interface {
	// DescribeName returns what a name stands for in a line, empty where the
	// value knows none of that name.
	DescribeName(name string) string
}
