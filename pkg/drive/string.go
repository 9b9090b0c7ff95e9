package drive

import "fmt"

// String describes the drive as [Drive.Quality] does: what was recorded when,
// what is missing, what was repaired.
func (d *Drive) String() string { return d.Quality().String() }

// NamesFor returns the names of the drive's channels, whatever method is meant.
func (d *Drive) NamesFor(string) (names []string) {
	for _, r := range d.RoleList() {
		names = append(names, string(r))
	}
	return names
}

// DescribeName says what a channel holds; nothing where there is none.
func (d *Drive) DescribeName(name string) string {
	c, ok := d.Channels[Role(name)]
	if !ok {
		return ""
	}
	r := d.qualityOf(c, d.Interval(), false)
	return fmt.Sprintf("%s: %s, every %.3g s, %d of %d samples missing, from %s", name, r.rangeText(), r.Step, r.Missing, r.Samples, r.Source)
}
