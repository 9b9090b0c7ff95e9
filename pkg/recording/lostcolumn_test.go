package recording

import (
	"fmt"
	"slices"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// A column with a unit whose numbers are written as none is here, minus behind or in
// brackets, is left out with a warning, whatever its name.
func TestColumnWithUnitLeftOut(t *testing.T) {
	for _, form := range []string{"%.1f-", "(%.1f)"} {
		text := "Time,Air (°C),Intake (°C)\n"
		for i := range 60 {
			text += fmt.Sprintf("2026-05-03 09:14:%02d,"+form+",%.1f\n", i, 4+float64(i%5)/10, 22+float64(i)/10)
		}
		r, err := readBytes([]byte(text))
		if err != nil {
			t.Errorf("%s: %v", form, err)
			continue
		}
		if len(r.Columns) != 1 || !slices.ContainsFunc(r.Warnings, func(w estimate.Warning) bool { return w.Kind == estimate.LostReadings }) {
			t.Errorf("%s: %v, warnings %v", form, r, r.Warnings)
		}
	}
}

// Kelvin below "°C" is 15 °C outside at 288: it warns; an oil's degrees don't.
func TestKelvinBelowCelsius(t *testing.T) {
	for offset, warns := range map[float64]bool{273.15: true, 0: false} {
		text := "Time,Air (°C),Tank (°C)\n"
		for i := range 60 {
			text += fmt.Sprintf("2026-05-03 09:14:%02d,%.2f,%.2f\n", i, 15.2+offset+float64(i%5)/10, 20.1+offset+float64(i))
		}
		r, err := readBytes([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		if got := slices.ContainsFunc(r.Warnings, func(w estimate.Warning) bool { return w.Kind == estimate.Ambiguous }); got != warns {
			t.Errorf("%g more: warned %t, want %t", offset, got, warns)
		}
	}
}
