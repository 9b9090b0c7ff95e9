package place_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/internal/place"
)

// What owners write of two like places, common practice, no source; and names that
// tell no side.
func TestSideOf(t *testing.T) {
	left, right := place.Side{Kind: "side", Number: 1}, place.Side{Kind: "side", Number: 2}
	front, rear := place.Side{Kind: "end", Number: 1}, place.Side{Kind: "end", Number: 2}
	n := func(i int) place.Side { return place.Side{Kind: "number", Number: i} }
	for name, want := range map[string]place.Side{
		"intake left": left, "T2 intake L": left, "Ansaugluft links": left, "admission gauche": left, "filtre (g)": left, "admisión izquierda": left, "filtro sx": left, "LH carb": left,
		"intake right": right, "airbox_R": right, "rechter Vergaser": right, "filtre droit": right, "filtro derecho": right, "aspirazione destra": right, "carb RH": right,
		"front carb": front, "Vergaser vorn": front, "carburateur avant": front, "filtro delantero": front, "filtro anteriore": front,
		"rear carb": rear, "Vergaser hinten": rear, "carburateur arrière": rear, "filtro trasero": rear, "filtro posteriore": rear,
		"intake 1": n(1), "carb 2": n(2), "carb2": n(2), "cylinder 2 intake": n(2), "Vergaser 2": n(2), "T3 Zyl. 2 Ansaugluft": n(2), "CH1 carb #2": n(2), "deuxième filtre": n(2), "1er carburateur": n(1), "secondo filtro": n(2), "Filter Zylinder 1": n(1),
		"T1 intake": {}, "CH2 air box": {}, "intake": {}, "spare intake 2": {}, "Ersatzfühler Ansaugluft 2": {}, "filtre de secours gauche": {}, "filtro (riserva) 2": {}, "sonda de repuesto 2 filtro": {},
		"2 griglia": {}, "intake T1": {}, "Sonde 3 filtre": {}, "intake 10": {}, "filter house": {}, "": {},
	} {
		if got := place.SideOf(name); got != want {
			t.Errorf("%q: %v, want %v", name, got, want)
		}
	}
}
