package layout

import "github.com/bonnetbook/bonnetbook/pkg/quantity"

// kinds of quantity that contents measure.
var kinds = map[Content]quantity.Kind{
	HoldsTemperature: quantity.KindTemperature, HoldsDifference: quantity.KindTemperatureDifference,
	HoldsSpeed: quantity.KindSpeed, HoldsLatitude: quantity.KindAngle, HoldsLongitude: quantity.KindAngle,
	HoldsLength: quantity.KindLength, HoldsAngle: quantity.KindAngle, HoldsPressure: quantity.KindPressure,
	HoldsHumidity: quantity.KindRelativeHumidity, HoldsRotation: quantity.KindRotationalSpeed,
	HoldsVoltage: quantity.KindVoltage, HoldsPower: quantity.KindPower, HoldsAccel: quantity.KindAcceleration,
	HoldsTime: quantity.KindDuration, HoldsTimeOfWeek: quantity.KindDuration,
}

// Kind returns the kind of quantity that a column with this content measures;
// KindNumber where that is not known or it measures none.
func (c Content) Kind() quantity.Kind { return kinds[c] }

// Takes reports whether a column with this content can be in a unit of the
// kind: differences of temperature are written in units of temperature, a
// humidity in percent, and plain numbers may have any.
func (c Content) Takes(k quantity.Kind) bool {
	switch c {
	case HoldsNumber:
		return true
	case HoldsDifference:
		return k == quantity.KindTemperature
	case HoldsHumidity:
		return k == quantity.KindRelativeHumidity || k == quantity.KindShare
	case HoldsDateTime:
		return k == quantity.KindDuration
	}
	kind, measures := kinds[c]
	return measures && kind == k
}

// ContentOf returns what a column in a unit of the kind holds, where nothing
// else tells; HoldsNumber for kinds that no content measures.
func ContentOf(k quantity.Kind) Content {
	switch k {
	case quantity.KindAngle:
		return HoldsAngle
	case quantity.KindTemperatureDifference:
		return HoldsDifference
	}
	for c, kind := range kinds {
		if kind == k {
			return c
		}
	}
	return HoldsNumber
}
