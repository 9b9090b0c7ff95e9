package quantity

import "strings"

// Kind is a kind of quantity in the sense of the International Vocabulary of
// Metrology (VIM, 1.2): what can be compared with each other. A temperature
// and a difference of temperatures are different kinds although both count
// kelvin; so are torque and energy, or a relative humidity and a share.
//
// The zero value is a plain number.
type Kind int

// The kinds, with the SI unit of each.
const (
	KindNumber                Kind = iota // 1
	KindTemperature                       // K
	KindTemperatureDifference             // K
	KindSpeed                             // m/s
	KindAcceleration                      // m/s²
	KindLength                            // m
	KindAngle                             // rad
	KindPressure                          // Pa, absolute
	KindRelativeHumidity                  // fraction of saturation, 0 to 1
	KindRotationalSpeed                   // 1/s, revolutions
	KindDensity                           // kg/m³
	KindVoltage                           // V
	KindPower                             // W
	KindArea                              // m²
	KindVolume                            // m³
	KindMass                              // kg
	KindTorque                            // N·m
	KindEnergy                            // J
	KindForce                             // N
	KindMassFlow                          // kg/s
	KindVolumeFlow                        // m³/s
	KindDuration                          // s
	KindClockDrift                        // seconds gained in a second
	KindShare                             // fraction of a whole
	KindThermalInsulance                  // m²·K/W
	kinds                                 // how many there are
)

// Kinds returns all kinds of quantity.
func Kinds() []Kind {
	all := make([]Kind, kinds)
	for i := range all {
		all[i] = Kind(i)
	}
	return all
}

// entry returns what the table says about k; an unknown kind is a plain
// number.
func (k Kind) entry() *entry {
	if k < 0 || k >= kinds {
		k = KindNumber
	}
	return &table[k]
}

// String returns the kind's name, such as "rotational speed".
func (k Kind) String() string { return k.entry().name }

// Symbol returns the symbol of the kind's SI unit, "1" where it has none.
func (k Kind) Symbol() string { return k.SI().Symbol() }

// Example returns a value of the kind as a person can type it, "82 degC".
func (k Kind) Example() string { return k.entry().example }

// SI returns the kind's coherent SI unit.
func (k Kind) SI() Unit {
	units := k.entry().units
	for i := range units {
		if units[i].coherent() {
			return units[i].unit(k)
		}
	}
	return Unit{kind: k}
}

// Shown returns the unit in which the kind is shown to a person: °C, km/h,
// hPa, rpm, %.
func (k Kind) Shown() Unit { return k.entry().units[0].unit(k) }

// Units returns all units of the kind, the one that is shown first.
func (k Kind) Units() []Unit {
	units := make([]Unit, len(k.entry().units))
	for i := range units {
		units[i] = k.entry().units[i].unit(k)
	}
	return units
}

// UnitList names the units of the kind for a message, "km/h, m/s, mph, kn".
func (k Kind) UnitList() string {
	var symbols []string
	for _, r := range k.entry().units {
		if r.symbol != "" {
			symbols = append(symbols, r.symbol)
		}
	}
	return strings.Join(symbols, ", ")
}

// Unit returns the unit of this kind that is written so. It panics on a
// spelling that is not in the table: it is for spellings in code, [Lookup] is
// for those of a person.
func (k Kind) Unit(spelling string) Unit {
	u, err := Lookup(k, spelling)
	if err != nil {
		panic(misuse{err})
	}
	return u
}

// misuse is a programmer's mistake. In a notebook the cell fails with its text
// alone: StopsCell tells the kernel.
type misuse struct{ error }

func (misuse) StopsCell() {}
