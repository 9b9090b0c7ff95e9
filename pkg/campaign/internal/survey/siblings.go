package survey

import "github.com/bonnetbook/bonnetbook/pkg/internal/sibling"

// Unlike names the files of the device that are unlike the rest.
func (d *Device) Unlike() []sibling.Finding {
	names := d.ColumnNames()
	var files []sibling.File
	for _, f := range d.Files {
		out := sibling.NewFile(f.Path)
		for i, c := range columns(d.Files[0].ways[0].Recording) {
			for _, own := range f.readings(c.Name, i) {
				if own.Series.Present() > 0 && !own.Derived {
					out.Add(names[i], own.Unit, own.Series)
					break
				}
			}
		}
		files = append(files, out)
	}
	return sibling.Odd(files)
}
