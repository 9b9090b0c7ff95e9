package layout

// Encoding is how a text file writes its characters.
type Encoding string

// The encodings.
const (
	UTF8        Encoding = "utf-8"
	UTF16LE     Encoding = "utf-16le"
	UTF16BE     Encoding = "utf-16be"
	Windows1252 Encoding = "windows-1252"
	GBK         Encoding = "gbk"       // simplified Chinese
	ShiftJIS    Encoding = "shift_jis" // Japanese
)

// Delimiter is what stands between cells.
type Delimiter string

// The delimiters.
const (
	Comma     Delimiter = "comma"
	Semicolon Delimiter = "semicolon"
	Tab       Delimiter = "tab"
	Pipe      Delimiter = "pipe"
	Spaces    Delimiter = "spaces" // one or more
	// WideSpaces are two or more, so that a cell may hold single ones:
	// "23.5 °C  OL  24.0 °C".
	WideSpaces Delimiter = "wide spaces"
)

// Decimal is the decimal mark.
type Decimal string

// The decimal marks.
const (
	DecimalPoint Decimal = "."
	DecimalComma Decimal = ","
)

// DateOrder is the order of day, month and year in dates of numbers.
type DateOrder string

// The orders.
const (
	YearMonthDay DateOrder = "ymd"
	DayMonthYear DateOrder = "dmy"
	MonthDayYear DateOrder = "mdy"
)

// InWords says the order for a person.
func (o DateOrder) InWords() string {
	switch o {
	case DayMonthYear:
		return "day first"
	case MonthDayYear:
		return "month first"
	}
	return "year first"
}

// TimeFormat is what the time column holds.
type TimeFormat string

// The time formats.
const (
	Stamp               TimeFormat = "stamp"               // date and time
	TimeOfDay           TimeFormat = "time of day"         // no date
	ElapsedClock        TimeFormat = "elapsed clock"       // 0:01:23.4 since the start
	ElapsedMinSec       TimeFormat = "elapsed m:s"         // 83:20.5 since the start
	ElapsedSeconds      TimeFormat = "elapsed s"           // numbers since the start
	ElapsedMilliseconds TimeFormat = "elapsed ms"          //
	ElapsedMinutes      TimeFormat = "elapsed min"         //
	ElapsedHours        TimeFormat = "elapsed h"           //
	ElapsedDays         TimeFormat = "elapsed d"           //
	ElapsedMicroseconds TimeFormat = "elapsed us"          //
	ElapsedNanoseconds  TimeFormat = "elapsed ns"          //
	UnixSeconds         TimeFormat = "unix s"              // since 1970-01-01 UTC
	UnixMilliseconds    TimeFormat = "unix ms"             //
	UnixMicroseconds    TimeFormat = "unix us"             //
	UnixNanoseconds     TimeFormat = "unix ns"             //
	SpreadsheetDays     TimeFormat = "spreadsheet days"    // since 1899-12-30
	SpreadsheetDays1904 TimeFormat = "days since 1904"     // 0 is 1904-01-01: workbooks with the 1904 date system
	JulianDays          TimeFormat = "julian days"         // since -4712-01-01 12:00
	ModifiedJulianDays  TimeFormat = "mod. julian days"    // since 1858-11-17
	YearZeroDays        TimeFormat = "days of year 0"      // 1 is the first of January of the year 0
	YearOneDays         TimeFormat = "days of year 1"      // 1 is the first of January of the year 1
	SecondsSince1904    TimeFormat = "s since 1904"        //
	SecondsSince2001    TimeFormat = "s since 2001"        //
	SecondsSince1980    TimeFormat = "GPS s"               // since 1980-01-06, without leap seconds
	TicksSince1601      TimeFormat = "100 ns since 1601"   //
	TicksSinceYearOne   TimeFormat = "100 ns since year 1" //
	ByInterval          TimeFormat = "counted by interval" // Layout.Interval
)

// Dated reports whether such times carry a date.
func (f TimeFormat) Dated() bool {
	switch f {
	case Stamp, UnixSeconds, UnixMilliseconds, UnixMicroseconds, UnixNanoseconds, SpreadsheetDays, SpreadsheetDays1904,
		JulianDays, ModifiedJulianDays, YearZeroDays, YearOneDays, SecondsSince1904, SecondsSince2001, SecondsSince1980, TicksSince1601, TicksSinceYearOne:
		return true
	}
	return false
}

// Content is what a column holds.
type Content string

// The contents that a layout can name.
const (
	HoldsTime        Content = "time"      // time of day or elapsed time
	HoldsDate        Content = "date"      // date alone
	HoldsDateTime    Content = "date-time" // both
	HoldsYear        Content = "year"      // with the five that follow, each in its own column
	HoldsMonth       Content = "month"
	HoldsDay         Content = "day"
	HoldsHour        Content = "hour"
	HoldsMinute      Content = "minute"
	HoldsSecond      Content = "second"
	HoldsMillis      Content = "milliseconds" // of the time of day in another column
	HoldsOffset      Content = "utc offset"   // of the date and time in other columns: +01:00
	HoldsGPSWeek     Content = "gps week"     // with the time of week in another column
	HoldsTimeOfWeek  Content = "time of week" // seconds, or milliseconds by its unit
	HoldsDayOfYear   Content = "day of year"  // with the year and a time of day in other columns
	HoldsUnit        Content = "unit"         // the unit of the column before
	HoldsNothing     Content = "skip"         // not read
	HoldsTemperature Content = "temperature"
	HoldsDifference  Content = "temperature difference"
	HoldsSpeed       Content = "speed"
	HoldsLatitude    Content = "latitude"
	HoldsLongitude   Content = "longitude"
	HoldsLength      Content = "length"
	HoldsAngle       Content = "angle"
	HoldsPressure    Content = "pressure"
	HoldsHumidity    Content = "humidity"
	HoldsRotation    Content = "rotational speed"
	HoldsVoltage     Content = "voltage"
	HoldsPower       Content = "power"
	HoldsAccel       Content = "acceleration"
	HoldsNumber      Content = "number" // dimension not known
)

// Format is the kind of file that a recording came from.
type Format string

// The formats that Open reads.
const (
	Text         Format = "text"       // delimited or space-aligned table
	Spreadsheet  Format = "xlsx"       // Office Open XML workbook
	GPX          Format = "gpx"        // GPS exchange format 1.0 or 1.1
	NMEA         Format = "nmea"       // NMEA 0183 sentences
	JSONLines    Format = "json lines" // one object a line
	JSON         Format = "json"       // one document over the whole file
	KML          Format = "kml"        // tracks and placemarks with times
	TCX          Format = "tcx"        // training-centre XML of watches
	FIT          Format = "fit"        // binary files of watches
	HTMLTable    Format = "html"       // table of a page, also under the name .xls
	OpenDocument Format = "ods"        // OpenDocument spreadsheet
	BinarySheet  Format = "xls"        // binary workbook, BIFF8
	Database     Format = "sqlite"     // table of a data base file
)
