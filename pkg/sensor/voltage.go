package sensor

import "fmt"

// Voltage is an electromotive force, stored in volt.
type Voltage float64

// Units of Voltage.
const (
	Volt      Voltage = 1
	Millivolt Voltage = 1e-3
	Microvolt Voltage = 1e-6
)

// Millivolts returns v in millivolts.
func (v Voltage) Millivolts() float64 { return float64(v) / float64(Millivolt) }

// Microvolts returns v in microvolts.
func (v Voltage) Microvolts() float64 { return float64(v) / float64(Microvolt) }

// String returns v in millivolts.
func (v Voltage) String() string { return fmt.Sprintf("%.4f mV", v.Millivolts()) }
