package recording

// format is one kind of file. A new one is a folder that declares one of these
// and a line in the list of those that are read.
type format struct {
	// name is what a layout calls it.
	name Format
	// lines says that the file is lines of text: its encoding is found before
	// recognise is asked, and the account counts its lines.
	lines bool
	// recognise reports whether a file is probably of this format. Formats are
	// asked in the order of the list.
	recognise func(*source) bool
	// read reads all rows. Every line, point or row of the file ends up in the
	// table's account.
	read func(*source, request) (*table, error)
}

// request says how to read a file.
type request struct {
	layout  Layout
	workers int // goroutines that parse; 0 means one for each processor
}
