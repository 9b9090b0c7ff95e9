package recording

import (
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// What a file's layout can say; see package layout.
type (
	// Layout says how a file is laid out. Every zero field is detected.
	Layout = layout.Layout
	// ColumnLayout says what one column of the file holds.
	ColumnLayout = layout.ColumnLayout
	// Encoding is how a text file writes its characters.
	Encoding = layout.Encoding
	// Delimiter is what stands between cells.
	Delimiter = layout.Delimiter
	// Decimal is the decimal mark.
	Decimal = layout.Decimal
	// DateOrder is the order of day, month and year in dates of numbers.
	DateOrder = layout.DateOrder
	// TimeFormat is what the time column holds.
	TimeFormat = layout.TimeFormat
	// Content is what a column holds.
	Content = layout.Content
	// Format is the kind of file that a recording came from.
	Format = layout.Format
)

// What is said of a file; see package account.
type (
	// Account says what became of every line of a file.
	Account = account.Account
	// Reject is a line that was not used.
	Reject = account.Reject
	// Missing counts the cells of one column that hold no usable value, for
	// one reason.
	Missing = account.Missing
	// Change is something that was done to rows that were kept.
	Change = account.Change
	// Detection explains how a file was read, one finding at a time.
	Detection = account.Detection
	// Finding is one property of a file and the evidence for it.
	Finding = account.Finding
	// FileError is an error about one file.
	FileError = account.FileError
	// AmbiguousError says that a file can be read in more than one way.
	AmbiguousError = account.AmbiguousError
	// Reading is one of several ways to read a file.
	Reading = account.Reading
)

// Errors that Open wraps, for errors.Is.
var (
	ErrEmpty       = account.ErrEmpty
	ErrNotText     = account.ErrNotText
	ErrNoTime      = account.ErrNoTime
	ErrNoData      = account.ErrNoData
	ErrOpenCircuit = account.ErrOpenCircuit
	ErrLimit       = account.ErrLimit
)

// The encodings.
const (
	UTF8        = layout.UTF8
	UTF16LE     = layout.UTF16LE
	UTF16BE     = layout.UTF16BE
	Windows1252 = layout.Windows1252
	GBK         = layout.GBK
	ShiftJIS    = layout.ShiftJIS
)

// The delimiters.
const (
	Comma     = layout.Comma
	Semicolon = layout.Semicolon
	Tab       = layout.Tab
	Pipe      = layout.Pipe
	Spaces    = layout.Spaces // one or more
	// WideSpaces are two or more, so that a cell may hold single ones:
	// "23.5 °C  OL  24.0 °C".
	WideSpaces = layout.WideSpaces
)

// The decimal marks.
const (
	DecimalPoint = layout.DecimalPoint
	DecimalComma = layout.DecimalComma
)

// The orders.
const (
	YearMonthDay = layout.YearMonthDay
	DayMonthYear = layout.DayMonthYear
	MonthDayYear = layout.MonthDayYear
)

// The time formats.
const (
	Stamp               = layout.Stamp               // date and time
	TimeOfDay           = layout.TimeOfDay           // no date
	ElapsedClock        = layout.ElapsedClock        // 0:01:23.4 since the start
	ElapsedMinSec       = layout.ElapsedMinSec       // 83:20.5 since the start
	ElapsedSeconds      = layout.ElapsedSeconds      // numbers since the start
	ElapsedMilliseconds = layout.ElapsedMilliseconds //
	ElapsedMinutes      = layout.ElapsedMinutes      //
	ElapsedHours        = layout.ElapsedHours        //
	ElapsedDays         = layout.ElapsedDays         //
	ElapsedMicroseconds = layout.ElapsedMicroseconds //
	ElapsedNanoseconds  = layout.ElapsedNanoseconds  //
	UnixSeconds         = layout.UnixSeconds         // since 1970-01-01 UTC
	UnixMilliseconds    = layout.UnixMilliseconds    //
	UnixMicroseconds    = layout.UnixMicroseconds    //
	UnixNanoseconds     = layout.UnixNanoseconds     //
	SpreadsheetDays     = layout.SpreadsheetDays     // since 1899-12-30
	SpreadsheetDays1904 = layout.SpreadsheetDays1904 // since 1904-01-01
	JulianDays          = layout.JulianDays          // since -4712-01-01 12:00
	ModifiedJulianDays  = layout.ModifiedJulianDays  // since 1858-11-17
	YearZeroDays        = layout.YearZeroDays        // 1 is the first of January of the year 0
	YearOneDays         = layout.YearOneDays         // 1 is the first of January of the year 1
	SecondsSince1904    = layout.SecondsSince1904    //
	SecondsSince2001    = layout.SecondsSince2001    //
	SecondsSince1980    = layout.SecondsSince1980    // as the GPS counts
	TicksSince1601      = layout.TicksSince1601      // of 100 ns
	TicksSinceYearOne   = layout.TicksSinceYearOne   // of 100 ns
	ByInterval          = layout.ByInterval          // Layout.Interval
)

// SecondsEach returns how many seconds one count of times in a format is; false for a
// format that does not count.
func SecondsEach(f TimeFormat) (float64, bool) {
	each, ok := plan.TimeFactors[f]
	return each, ok
}

// The contents that a layout can name.
const (
	HoldsTime        = layout.HoldsTime     // time of day or elapsed time
	HoldsDate        = layout.HoldsDate     // date alone
	HoldsDateTime    = layout.HoldsDateTime // both
	HoldsYear        = layout.HoldsYear     // with the five that follow, each in its own column
	HoldsMonth       = layout.HoldsMonth
	HoldsDay         = layout.HoldsDay
	HoldsHour        = layout.HoldsHour
	HoldsMinute      = layout.HoldsMinute
	HoldsSecond      = layout.HoldsSecond
	HoldsMillis      = layout.HoldsMillis     // of the time of day in another column
	HoldsOffset      = layout.HoldsOffset     // of the date and time in other columns: +01:00
	HoldsGPSWeek     = layout.HoldsGPSWeek    // with the time of week in another column
	HoldsTimeOfWeek  = layout.HoldsTimeOfWeek // seconds, or milliseconds by its unit
	HoldsDayOfYear   = layout.HoldsDayOfYear  // with the year and a time of day in other columns
	HoldsUnit        = layout.HoldsUnit       // the unit of the column before
	HoldsNothing     = layout.HoldsNothing    // not read
	HoldsTemperature = layout.HoldsTemperature
	HoldsDifference  = layout.HoldsDifference
	HoldsSpeed       = layout.HoldsSpeed
	HoldsLatitude    = layout.HoldsLatitude
	HoldsLongitude   = layout.HoldsLongitude
	HoldsLength      = layout.HoldsLength
	HoldsAngle       = layout.HoldsAngle
	HoldsPressure    = layout.HoldsPressure
	HoldsHumidity    = layout.HoldsHumidity
	HoldsRotation    = layout.HoldsRotation
	HoldsVoltage     = layout.HoldsVoltage
	HoldsPower       = layout.HoldsPower
	HoldsAccel       = layout.HoldsAccel
	HoldsNumber      = layout.HoldsNumber // dimension not known
)

// The formats that Open reads.
const (
	Text         = layout.Text         // delimited or space-aligned table
	Spreadsheet  = layout.Spreadsheet  // Office Open XML workbook
	GPX          = layout.GPX          // GPS exchange format 1.0 or 1.1
	NMEA         = layout.NMEA         // NMEA 0183 sentences
	JSONLines    = layout.JSONLines    // one JSON object a line
	JSON         = layout.JSON         // one document over the whole file
	KML          = layout.KML          // tracks and placemarks with times
	TCX          = layout.TCX          // training-centre XML of watches
	FIT          = layout.FIT          // binary files of watches
	HTMLTable    = layout.HTMLTable    // table of a page, also under the name .xls
	OpenDocument = layout.OpenDocument // OpenDocument spreadsheet
	BinarySheet  = layout.BinarySheet  // binary workbook, BIFF8
	Database     = layout.Database     // table of a data base file
)

// Load reads a layout file. It fails where the file can't be read, where it is
// no TOML, and at an unknown key or a wrong value, with its line.
func Load(path string) (Layout, error) { return layout.Load(path) }
