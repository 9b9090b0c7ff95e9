// Package layout says how the file of a device is laid out: a [Layout] can hold
// as little as one answer, or leave nothing to guess. It can be checked, saved
// and loaded. Package recording gives its types their short names.
package layout

// Layout says how a file is laid out. Every zero field is detected, so a
// layout can hold as little as one answer; the one in a recording is
// complete. It can stand in a campaign file or in a file of its own.
type Layout struct {
	Format Format `toml:"format,omitempty"`
	// Encoding of a text file.
	Encoding Encoding `toml:"encoding,omitempty"`
	// Delimiter between the cells.
	Delimiter Delimiter `toml:"delimiter,omitempty"`
	// Decimal is the decimal mark, "." or ",".
	Decimal Decimal `toml:"decimal,omitempty"`
	// HeaderLines is the number of lines before the first row of values;
	// a pointer, because none is different from not known.
	HeaderLines *int `toml:"header_lines,omitempty"`
	// DateOrder is the order of day, month and year.
	DateOrder DateOrder `toml:"date_order,omitempty"`
	// TimeFormat says what the numbers or stamps of the time column are.
	TimeFormat TimeFormat `toml:"time_format,omitempty"`
	// Zone is the time zone of stamps that carry none: "UTC", "+01:00" or a
	// name such as "Europe/Berlin".
	Zone string `toml:"zone,omitempty"`
	// Date is the date of the first row, as 2018-02-14, for a file that holds
	// times of day or elapsed seconds only.
	Date string `toml:"date,omitempty"`
	// Interval is the time between rows in seconds, for a file without times.
	Interval float64 `toml:"interval_s,omitempty"`
	// Sheet is the name of the worksheet, or of a data base's table.
	Sheet string `toml:"sheet,omitempty"`
	// Sentinels are cells that mean "no value" beside those known anyway.
	Sentinels []string `toml:"sentinels,omitempty"`
	// TemperatureUnit is the unit of temperatures that carry none: "°C", "°F",
	// "K", or "0.1 °C", "0.01 °C" or "0.001 °C" for counts of parts.
	TemperatureUnit string `toml:"temperature_unit,omitempty"`
	// SpeedUnit is the unit of speeds that carry none: "km/h", "m/s", "mph" or
	// "kn".
	SpeedUnit string `toml:"speed_unit,omitempty"`
	// KeepFrozen and KeepSpikes keep values that would be taken for faults.
	KeepFrozen bool `toml:"keep_frozen,omitempty"`
	KeepSpikes bool `toml:"keep_spikes,omitempty"`
	// KeepCarried keeps values that are only repeated from the row before.
	KeepCarried bool `toml:"keep_carried,omitempty"`
	// KeepSwaps leaves two channels as they stand that go on with each other's
	// values.
	KeepSwaps bool `toml:"keep_swaps,omitempty"`
	// WeekRollovers is how often a receiver's date has fallen back by 1024
	// weeks; that much is added.
	WeekRollovers int `toml:"week_rollovers,omitempty"`
	// Columns overrules what is known of single columns. Columns that are not
	// listed are detected.
	Columns []ColumnLayout `toml:"columns,omitempty"`
}

// ColumnLayout says what one column of the file holds. It is found by its
// Number, or by its Name where that is 0.
type ColumnLayout struct {
	// Number counts the file's columns from 1.
	Number int `toml:"number,omitempty"`
	// Name is the name in the header, with or without the unit. Together with
	// a Number it gives the column another name.
	Name string `toml:"name,omitempty"`
	// Holds says what it holds: "temperature", "speed", "latitude", "time" …
	Holds Content `toml:"holds,omitempty"`
	// Unit of its numbers: "°F", "km/h", "ms" …
	Unit string `toml:"unit,omitempty"`
	// Min and Max limit what is taken for a value, in Unit; what lies at or
	// beyond them is missing.
	Min *float64 `toml:"min,omitempty"`
	Max *float64 `toml:"max,omitempty"`
}
