package messy

import "github.com/bonnetbook/bonnetbook/pkg/internal/judge/instrument"

// language is how an owner names things.
type language struct {
	code                    string
	date, clock, no, notes  string
	speed, height, accuracy string
	places                  map[instrument.Place][]string
}

var languages = []language{
	{"en", "Date", "Time", "No.", "notes", "speed", "altitude", "accuracy", map[instrument.Place][]string{
		instrument.Intake: {"airbox", "air filter", "intake air", "filter housing"}, instrument.Intake2: {"airbox 2", "rear filter"},
		instrument.Throat: {"carb throat", "carburettor", "carb inlet"}, instrument.BayFront: {"bonnet", "bonnet front", "under hood front"},
		instrument.BayRear: {"bonnet rear", "under hood", "engine bay"}, instrument.Grille: {"grille", "front grille", "outside air", "ambient"},
		instrument.UpperTank: {"rad top", "top hose", "radiator top"}, instrument.Coolant: {"coolant", "water temp", "stat housing"},
		instrument.Head: {"cyl head", "head"}, instrument.Oil: {"oil", "sump"}}},
	{"de", "Datum", "Uhrzeit", "Nr.", "Notizen", "Geschwindigkeit", "Höhe", "Genauigkeit", map[instrument.Place][]string{
		instrument.Intake: {"Ansaugluft", "Luftfilter", "Filterkasten"}, instrument.Intake2: {"Luftfilter 2", "Ansaugluft hinten"},
		instrument.Throat: {"Vergaser", "Vergaser Einlass"}, instrument.BayFront: {"Haube vorn", "Motorraum vorn"},
		instrument.BayRear: {"Haube hinten", "Motorraum"}, instrument.Grille: {"Kühlergrill", "Außenluft", "Aussen"},
		instrument.UpperTank: {"Kühler oben", "Schlauch oben"}, instrument.Coolant: {"Kühlwasser", "Wasser Motor"},
		instrument.Head: {"Zylinderkopf"}, instrument.Oil: {"Öl"}}},
	{"fr", "Date", "Heure", "N°", "remarques", "vitesse", "altitude", "précision", map[instrument.Place][]string{
		instrument.Intake: {"boîte à air", "filtre à air", "air admission"}, instrument.Intake2: {"filtre à air 2"},
		instrument.Throat: {"carburateur"}, instrument.BayFront: {"capot avant"}, instrument.BayRear: {"capot arrière", "sous capot"},
		instrument.Grille: {"calandre", "air extérieur"}, instrument.UpperTank: {"radiateur haut", "durite haute"},
		instrument.Coolant: {"eau moteur"}, instrument.Head: {"culasse"}, instrument.Oil: {"huile"}}},
	{"es", "Fecha", "Hora", "Nº", "notas", "velocidad", "altitud", "precisión", map[instrument.Place][]string{
		instrument.Intake: {"caja de aire", "filtro de aire", "aire admisión"}, instrument.Intake2: {"filtro de aire 2"},
		instrument.Throat: {"carburador"}, instrument.BayFront: {"capó delante"}, instrument.BayRear: {"capó detrás"},
		instrument.Grille: {"parrilla", "aire exterior"}, instrument.UpperTank: {"radiador arriba", "manguito superior"},
		instrument.Coolant: {"agua motor"}, instrument.Head: {"culata"}, instrument.Oil: {"aceite"}}},
	{"it", "Data", "Ora", "N.", "appunti", "velocità", "altitudine", "precisione", map[instrument.Place][]string{
		instrument.Intake: {"scatola aria", "filtro aria", "aria aspirata"}, instrument.Intake2: {"filtro aria 2"},
		instrument.Throat: {"carburatore"}, instrument.BayFront: {"cofano davanti"}, instrument.BayRear: {"cofano dietro", "vano motore"},
		instrument.Grille: {"griglia", "aria esterna"}, instrument.UpperTank: {"radiatore alto", "manicotto superiore"},
		instrument.Coolant: {"acqua motore"}, instrument.Head: {"testata"}, instrument.Oil: {"olio"}}},
}
