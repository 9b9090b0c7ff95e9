package recording

// detectText finds out how a text file is laid out.
func detectText(src *source, layout Layout) (*found, error) {
	s, err := takeSample(src)
	if err != nil {
		return nil, err
	}
	d := &detector{src: src, sample: s, layout: layout}
	d.note("encoding", string(src.encoding), givenOr(layout.Encoding != "", ""))
	for _, step := range []func() error{
		d.findDelimiter, d.findHeader, d.gather, d.findTime, d.findDateOrder, d.refuseLong, d.findContents, d.findTemperatureUnit, d.findSpeedUnit,
	} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	for _, c := range d.columns {
		if c.unit != nil && c.reason != "" {
			d.note("unit", c.unit.name+" in "+c.name, c.reason)
		}
	}
	return d.result(), nil
}
