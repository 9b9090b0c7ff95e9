package layout

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/known"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
)

// oneOf says what a field may be.
func oneOf[T ~string](key string, value T, allowed ...T) error {
	if value == "" || len(allowed) == 0 || slices.Contains(allowed, value) {
		return nil
	}
	names := make([]string, len(allowed))
	for i, a := range allowed {
		names[i] = fmt.Sprintf("%q", string(a))
	}
	return fmt.Errorf("%s = %q is not known; allowed are %s", key, string(value), strings.Join(names, ", "))
}

// Check fails at the first setting that is not allowed, and says what is.
func (l Layout) Check() error {
	if err := errors.Join(
		oneOf("format", l.Format, formats()...),
		oneOf("encoding", l.Encoding, UTF8, UTF16LE, UTF16BE, Windows1252, GBK, ShiftJIS),
		oneOf("delimiter", l.Delimiter, Comma, Semicolon, Tab, Pipe, Spaces, WideSpaces),
		oneOf("decimal", l.Decimal, DecimalPoint, DecimalComma),
		oneOf("date_order", l.DateOrder, YearMonthDay, DayMonthYear, MonthDayYear),
		oneOf("time_format", l.TimeFormat, Stamp, TimeOfDay, ElapsedClock, ElapsedMinSec, ElapsedSeconds,
			ElapsedMilliseconds, ElapsedMinutes, ElapsedHours, ElapsedDays, ElapsedMicroseconds, ElapsedNanoseconds, UnixSeconds, UnixMilliseconds,
			UnixMicroseconds, UnixNanoseconds, SpreadsheetDays, SpreadsheetDays1904, JulianDays, ModifiedJulianDays,
			YearZeroDays, YearOneDays, SecondsSince1904, SecondsSince2001, SecondsSince1980, TicksSince1601, TicksSinceYearOne, ByInterval),
	); err != nil {
		return err
	}
	if l.HeaderLines != nil && *l.HeaderLines < 0 {
		return fmt.Errorf("header_lines = %d; allowed are 0 and more", *l.HeaderLines)
	}
	if !(l.Interval >= 0 && l.Interval < 1e6) {
		return fmt.Errorf("interval_s = %v; allowed are 0 (not set) to 1e6 seconds", l.Interval)
	}
	if l.Date != "" {
		if _, err := time.Parse("2006-01-02", l.Date); err != nil {
			return fmt.Errorf("date = %q is not a date like 2018-02-14", l.Date)
		}
	}
	if l.Zone != "" {
		if _, err := Zone(l.Zone); err != nil {
			return err
		}
	}
	if u := l.TemperatureUnit; u != "" {
		if k, ok := unit.LookUp(u); !ok || k.Kind() != quantity.KindTemperature {
			return fmt.Errorf("temperature_unit = %q is not known; allowed are \"°C\", \"°F\", \"K\", \"0.1 °C\", \"0.01 °C\", \"0.001 °C\"", u)
		}
	}
	if u := l.SpeedUnit; u != "" {
		if k, ok := unit.LookUp(u); !ok || k.Kind() != quantity.KindSpeed {
			return fmt.Errorf("speed_unit = %q is not known; allowed are \"km/h\", \"m/s\", \"mph\", \"kn\"", u)
		}
	}
	for i, c := range l.Columns {
		if err := c.check(); err != nil {
			return fmt.Errorf("columns, entry %d: %w", i+1, err)
		}
	}
	return nil
}

// formats are those that are read; any passes where no reader is linked.
func formats() []Format {
	var all []Format
	for _, f := range known.Formats() {
		all = append(all, Format(f))
	}
	return all
}

func (c ColumnLayout) check() error {
	if c.Number < 0 || (c.Number == 0 && c.Name == "") {
		return fmt.Errorf("needs a number (from 1) or a name to find the column by")
	}
	if err := oneOf("holds", c.Holds, HoldsTime, HoldsDate, HoldsDateTime, HoldsUnit, HoldsNothing,
		HoldsYear, HoldsMonth, HoldsDay, HoldsHour, HoldsMinute, HoldsSecond, HoldsMillis, HoldsOffset, HoldsGPSWeek, HoldsTimeOfWeek, HoldsDayOfYear,
		HoldsTemperature, HoldsDifference, HoldsSpeed, HoldsLatitude, HoldsLongitude, HoldsLength,
		HoldsAngle, HoldsPressure, HoldsHumidity, HoldsRotation, HoldsVoltage, HoldsPower, HoldsAccel,
		HoldsNumber); err != nil {
		return err
	}
	if c.Unit != "" {
		k, ok := unit.LookUp(c.Unit)
		if !ok && c.Holds != "" && c.Holds != HoldsNumber {
			return fmt.Errorf("unit = %q is not known", c.Unit)
		}
		if ok && c.Holds != "" && !c.Holds.Takes(k.Kind()) {
			return fmt.Errorf("unit = %q does not measure a %s", c.Unit, c.Holds)
		}
	}
	return nil
}

// Zone reads a time zone: "UTC", "+01:00" or a name of the zone database. It
// fails for anything else, the machine's own zone included.
func Zone(s string) (*time.Location, error) {
	if t, err := time.Parse("-07:00", s); err == nil {
		_, off := t.Zone()
		return time.FixedZone(s, off), nil
	}
	loc, err := time.LoadLocation(s)
	if err != nil || s == "" || s == "Local" {
		return nil, fmt.Errorf("zone = %q is not known; allowed are \"UTC\", an offset like \"+01:00\", a name like \"Europe/Berlin\"", s)
	}
	return loc, nil
}
