package recording

// formats are those that are read, in the order in which they are asked
// whether a file is theirs; text takes what no other does.
var formats = []format{
	spreadsheetFormat,
	gpxFormat,
	nmeaFormat,
	textFormat,
}

func init() {
	for _, f := range formats {
		knownFormats = append(knownFormats, f.name)
	}
}

// formatOf returns the format that the layout names, or that the file is
// probably of.
func formatOf(src *source, l Layout) (format, error) {
	checked := false
	for _, f := range formats {
		if l.Format != "" && l.Format != f.name {
			continue
		}
		if f.lines && !checked {
			if err := src.checkText(l.Encoding); err != nil {
				return format{}, err
			}
			checked = true
		}
		if l.Format != "" || f.recognise(src) {
			return f, nil
		}
	}
	return format{}, src.fail("is of no kind that is read here", "export the readings as .csv, .xlsx, .gpx or NMEA text", ErrNotText)
}
