package sensor

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// ColdJunction returns the temperature of the measuring junction of a type K
// thermocouple from the measured voltage and the temperature of the terminals.
//
//	t = E⁻¹(V + E(t_terminals))
//
// Voltages are added, never temperatures: E⁻¹(V) + t_terminals is wrong by
// almost 1 K at 100 °C. A terminal temperature that is wrong, as in a logger
// that has become hot, moves all its channels alike: differences between
// channels survive it, absolute values do not.
//
// A voltage or temperature outside the type's range gives an error that wraps
// [ErrOutOfRange].
func ColdJunction(measured Voltage, terminals quantity.Temperature) (quantity.Temperature, error) {
	e, err := TypeKVoltage(terminals)
	if err != nil {
		return quantity.Temperature{}, fmt.Errorf("terminals: %w", err)
	}
	return TypeKTemperature(measured + e)
}
