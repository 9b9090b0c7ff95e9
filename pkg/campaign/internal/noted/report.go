// Package noted turns what was noted of the outside air into pressure and
// humidity at the car, and asks where that does not fit the drive.
package noted

import "github.com/bonnetbook/bonnetbook/pkg/quantity"

// Report is what the campaign file says about the outside air of a
// drive, in the form in which it was noted. A quantity that was left out is
// zero, or an invalid temperature, and its Has field is false.
type Report struct {
	// Pressure is the absolute pressure at the car: a barometer on the spot.
	Pressure quantity.Pressure
	// QNH is the pressure that stations and airfields report, reduced to sea
	// level.
	QNH quantity.Pressure
	// Altitude is that of the drive above mean sea level.
	Altitude    quantity.Length
	HasAltitude bool
	// PressureUncertainty is the standard uncertainty of the pressure at the
	// car; 0 if not stated.
	PressureUncertainty quantity.Pressure

	// At most one of the three ways to give humidity is set.
	Humidity            quantity.RelativeHumidity
	HasHumidity         bool
	HumidityUncertainty quantity.RelativeHumidity
	DewPoint, WetBulb   quantity.Temperature
	// AirTemperature is the dry-bulb temperature that belongs to DewPoint or
	// WetBulb; invalid: the drive's own ambient channel is taken. A drive
	// without such a channel takes it for the outside air, with
	// AirTemperatureUncertainty, a standard uncertainty; 0 if not stated.
	AirTemperature            quantity.Temperature
	AirTemperatureUncertainty quantity.TemperatureDifference
}
