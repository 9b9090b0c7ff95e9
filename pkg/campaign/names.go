package campaign

import "slices"

// NamesFor returns what a text may be that the named method is given: the
// drives in the order of the file, or the configurations; both for "". A
// notebook completes them between quotes.
func (c *Campaign) NamesFor(method string) []string {
	switch method {
	case "Drive", "Request", "ConfigurationOf":
		return c.DriveNames()
	case "Drives", "Gather":
		return c.configurationNames()
	case "":
		return slices.Concat(c.configurationNames(), c.DriveNames())
	}
	return nil
}
