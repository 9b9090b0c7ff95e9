// Package place knows what people write beside a probe for where it sits on a
// car, in English, German, French, Spanish and Italian.
package place

import "strings"

// Place is where a temperature is taken.
type Place string

// The places. Their names are those of the roles of package drive.
const (
	Ambient      Place = "ambient"
	Intake       Place = "intake"
	EngineBay    Place = "engine-bay"
	TopTank      Place = "top-tank"
	BottomTank   Place = "bottom-tank"
	Coolant      Place = "coolant"
	RadiatorAir  Place = "radiator-air"
	CylinderHead Place = "cylinder-head"
	Oil          Place = "oil"
)

// words are what stands for each place; the first entry that has one in the
// name counts, so the more telling ones come first. A word with a blank in
// front must begin a word of the name, one with a blank behind must end one.
var words = []struct {
	place Place
	words []string
}{
	{RadiatorAir, []string{"radiator air", "behind radiator", "behind rad", "kühlerabluft", "hinter kühler", "air radiateur", "derrière radiateur", "detrás radiador", "dietro radiatore"}},
	{TopTank, []string{"top tank", "toptank", "top hose", "upper hose", "rad top", "radiator top", "upper tank", "kühler oben", "kuehler oben", "schlauch oben", "oberer schlauch", "radiateur haut", "durite haute", "durite sup", "radiador arriba", "manguito superior", "radiatore alto", "manicotto superiore"}},
	{BottomTank, []string{"bottom tank", "bottom hose", "lower hose", "lower tank", "rad bottom", "radiator bottom", "kühler unten", "kuehler unten", "schlauch unten", "radiateur bas", "durite basse", "radiador abajo", "manguito inferior", "radiatore basso", "manicotto inferiore"}},
	{Oil, []string{" oil ", " sump ", " öl ", "öltemp", "ölwanne", " oel ", "huile", "aceite", " olio "}},
	{CylinderHead, []string{"cyl head", "cylinder head", " head ", " cht ", "zylinderkopf", "culasse", "culata", "testata"}},
	{Ambient, []string{"ambient", "outside", "outdoor", "grille", "grill ", "außen", "aussen", "umgebung", "calandre", "extérieur", "exterieur", "parrilla", "exterior", "griglia", "esterna", "esterno", " nose "}},
	{Intake, []string{"intake", "inlet", "air cleaner", "airbox", "air box", "filter", "carb", "throat", "trumpet", "ansaug", "filterkasten", "vergaser", "admission", "boîte à air", "boite a air", "filtre", "admisión", "admision", "caja de aire", "filtro", "aspirata", "aspirazione", "scatola aria", " iat "}},
	{EngineBay, []string{" bay ", "bonnet", " hood ", "underhood", "haube", "motorraum", "capot", "capó", "cofano", "vano motore"}},
	{Coolant, []string{"coolant", "water", "stat housing", "thermostat", "kühlwasser", "kuehlwasser", "kühlmittel", "wasser", " eau ", "refroidissement", "agua", "refrigerante", "acqua", " ect "}},
}

// apart makes one blank of what stands between words.
var apart = strings.NewReplacer("_", " ", "-", " ", ".", " ", "(", " ", ")", " ", "/", " ")

// Of returns the place that a name says; empty where it says none.
func Of(name string) Place {
	name = apart.Replace(strings.ToLower(name))
	name = " " + strings.Join(strings.Fields(name), " ") + " "
	for _, p := range words {
		for _, w := range p.words {
			if strings.Contains(name, w) {
				return p.place
			}
		}
	}
	return ""
}
