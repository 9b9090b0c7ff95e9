// Package engine turns intake air into what it means for an older,
// carburetted, naturally aspirated spark-ignition engine: airflow demand,
// full-throttle torque and power, mixture, knock and icing.
//
// The change of full-throttle power is given as a span of published
// correction formulas, never as one number, and never as the change of
// density, which is shown beside it as what it is:
//
//	effect, err := engine.ChangeOfPower(outside, intake)
//	fmt.Println(effect)
//
// What the standards' formulas are made for is air that enters an engine on a
// test bench, where intake and ambient have one temperature. Using them for
// an intake that is hotter than ambient extrapolates in kind, and at 50 °C
// also in range. Results say so; see [Factor.Extrapolated] and the Cautions
// of each result.
//
// All of it holds at full throttle. At part throttle the driver's foot makes
// up the difference, see [PartThrottleNote].
//
// Nothing here is a reason to change ignition timing.
package engine
