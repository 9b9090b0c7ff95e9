package place_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/internal/place"
)

// What owners write, common practice, no source; one for each place and
// language at least, and names that must not be taken for another place.
func TestOf(t *testing.T) {
	for name, want := range map[string]place.Place{
		"T3 grille": place.Ambient, "Außenluft": place.Ambient, "air extérieur": place.Ambient, "parrilla": place.Ambient, "2 griglia": place.Ambient, "Kühlergrill": place.Ambient,
		"CH1 carb throat": place.Intake, "Ansaugluft": place.Intake, "filtre à air": place.Intake, "caja de aire": place.Intake, "aria aspirata": place.Intake, "T1 airbox": place.Intake,
		"front under hood": place.EngineBay, "Motorraum": place.EngineBay, "sous capot": place.EngineBay, "capó detrás": place.EngineBay, "vano motore": place.EngineBay, "engine_bay": place.EngineBay,
		"T4 rad top": place.TopTank, "Kühler oben": place.TopTank, "durite haute": place.TopTank, "manguito superior": place.TopTank, "radiatore alto": place.TopTank,
		"stat housing": place.Coolant, "Kühlwasser": place.Coolant, "eau moteur": place.Coolant, "agua motor": place.Coolant, "acqua motore": place.Coolant,
		"cyl head": place.CylinderHead, "Zylinderkopf": place.CylinderHead, "culasse": place.CylinderHead, "culata": place.CylinderHead, "testata": place.CylinderHead,
		"T2 oil": place.Oil, "Öl": place.Oil, "huile": place.Oil, "aceite": place.Oil, "olio": place.Oil,
		"bottom hose": place.BottomTank, "radiator air": place.RadiatorAir,
		"CH4": "", "T1": "", "speed": "", "heading": "", "boiler": "", "": "",
	} {
		if got := place.Of(name); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
}
