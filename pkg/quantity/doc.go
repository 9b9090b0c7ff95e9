// Package quantity holds typed physical quantities, so that a pressure cannot
// be passed where a density is wanted and a difference of temperatures is
// never mistaken for a temperature.
//
// Every quantity is stored in its SI unit. Units that differ from the SI unit
// by a factor are typed constants:
//
//	p := 1013.25 * quantity.Hectopascal
//	v := 50 * quantity.KilometrePerHour
//	fmt.Println(p.Hectopascals(), v.MilesPerHour())
//
// Scales with an offset are functions, because a factor would be wrong:
//
//	t := quantity.Celsius(20)                 // a temperature
//	d := quantity.CelsiusDifference(30)       // a difference: 30 K, 54 °F
//	hot := t.Add(d)                           // a temperature again
//	d = hot.Sub(t)                            // and back
//
// Two temperatures cannot be added, multiplied or confused with a difference:
// [Temperature] is a struct, so the compiler refuses it.
//
// One table knows every unit and every spelling of it, for the headers of
// files, for what a person writes and for what is shown: [Parse], [Lookup],
// [FindUnits], [Format] and the [Unit] of each [Kind]. A spelling that people
// use for two units, such as "bhp", is refused with the choice.
//
// A value outside the range of a formula is refused, here and in all packages
// above, by an error that wraps [ErrOutOfRange].
//
// Factors are exact by definition and taken from the BIPM SI brochure, 9th
// edition, and NIST Special Publication 811 (2008), appendix B.8.
package quantity
