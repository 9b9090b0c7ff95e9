// Package judge is a second model of an engine bay, and of the people and
// instruments around it. It exists to prove the analysis wrong: every claim
// about coverage ("95 % of the intervals hold the truth") is counted on its
// drives as well as on those of the project's own simulator.
//
// # Who may use it
//
// Tests, and the command in write. No package of the analysis imports it, and
// it imports nothing of the project; a test of the imports holds both. It was
// written from the literature without reading the first simulator or any
// package of the analysis, and shares no code with them.
//
// # Rooms
//
//	judge        campaigns: cars, configurations, orders, flaws, and their truth
//	car          engine, cooling circuit, bay, intake, weather; the table of ranges
//	road         a road with limits, stops and hills; a driver
//	instrument   probes, loggers and phones with their errors
//	messy        a campaign as it lies in somebody's folder
//	write        the command that makes such folders
//
// # Equations
//
// Plain float64 in SI, temperatures in °C, steps of 0.1 s, one record a
// second. "From memory" marks what was not seen while writing.
//
// Engine. Power at full throttle is P_r (x + x² − x³) with x = n/n_r (Genta,
// from memory), times the mixture's parabola around λ 0.88, (p/99 kPa)^1.2 and
// (298 K/T)^e, e 0.4 to 0.7 (ISO 1585 has 0.6). Fuel follows a Willans line:
// (P + P_friction)/η_i, friction higher when cold, throttling less under load
// (Heywood 1988 ch. 13, from memory). Rich mixture burns in part. A
// carburettor's λ goes with √ρ of its air (Heywood ch. 7, from memory).
//
// Heat. To the coolant c·40 kW·(Q_f/40 kW)^m, m 0.75 to 0.92 (Taylor and
// Toong's Re^0.75, from memory); further shares to block and manifold.
//
// Circuit. Nodes: head metal, jacket (inlet and outlet half), block, hose,
// upper tank, core, lower tank; first-order mixing with the flow that valve,
// leak and by-pass share. The valve: wax with a first-order lag, lift the mean
// of three plays between an opening and a closing curve (Prandtl–Ishlinskii),
// start within ±2 K of the stamp, full lift 11 to 15 K on, shut 3 to 7 K below
// the start (workshop limits). While the radiator's cold water arrives it
// opens and shuts in a saw-tooth by itself. The radiator: effectiveness of a
// cross-flow with mixed coolant (Kays and London), air side to the power 0.6.
// Water boils at its cap and no further. After switch-off the pump stands and
// the head's metal heats the water by 5 to 15 K.
//
// Bay. Air at front and rear, bonnet, manifold, air box. The front takes the
// radiator's air, fresh air and, standing, what recirculates; surfaces give
// off heat with (1 + 0.07 u)^0.8 (turbulent plate); the manifold radiates with
// T⁴; bonnet to outside after McAdams (from memory). Sun, rain and wind act on
// these.
//
// Intake. Air is a mixture of outside, radiator, front and rear air; on the
// way it takes up heat with NTU ∝ flow^p, p −0.2 (turbulent, Dittus–Boelter)
// to −1 (laminar), and a fixed heat; never colder than outside. The sources
// follow the outside temperature by one of four laws (car.AmbientLaw).
//
// Between drives. Wind, sun, rain, traffic wake, driver and lights differ;
// what these leave open is drawn, additive on the road and in proportion when
// standing or crawling, so that an unchanged car scatters as a real one did
// (car.ScatterKinds), scaled by a parameter of 0.5 to 6 K. It may have long
// tails, and a day may be like the day before.
//
// Instruments. Probes are first-order lags whose time constant falls with the
// square root of the air's speed; radiation pulls them towards walls by 4.5 %
// at 1 m/s, less when faster; clamped ones read low. Each has an error within
// class 2 of IEC 60584-1, each logger a cold junction that drifts with its
// case and a clock with offset, drift and zone; phones smooth, delay and drop
// out. Ranges: instrument.DrawProbe, DrawClock, DrawPhone.
//
// # What "opened" means
//
// car.Trace tells moments apart: FirstFlowS, when the valve first lifts;
// TankRiseHalfS and TankRiseS, when the upper tank is 0.5 and 1 K above the
// same tank with the valve kept shut (a shadow that runs beside); TankMidS,
// when it is half way to the coolant. A leaking valve may have warmed the tank
// so far that the last three are never or late.
//
// # Ranges
//
// car.Ranges is the one table, a source or the word judgement beside each
// range; car.Variants narrows it to physical variants of equal weight;
// car.Faults are valves that fail, and other engines.
//
// Constants that are the same in every car stand beside the equation that has
// them: water 3,600 and air 1,006 J/(kg K), petrol 44 MJ/kg, stoichiometry
// 14.7, jacket 45 to 55 between its halves, a fifth of the radiator's
// resistance in the water, 2.5 W/K through the valve's housing, 3 W/K from the
// tank, 25 W/K from a still core, 600 J/K of air at each end of the bay, a
// bonnet of 1.3 m², 20 g/s as the flow at which pick-up is stated.
//
// # What it does not do
//
// No boost, no exhaust gas recirculation, no fuel evaporation in the throat,
// no two-phase flow beyond the boiling limit, no air lock. Coolant leaves no
// heat in the hoses. The laws Proportional, Flat and Measured scale the bay's
// sources and so do not close the bay's heat balance; Physical does. The
// circuit's balance closes under all.
//
// # CHANGES
//
// The ranges were committed before the analysis was changed for the issue they
// judge. Every later change of an equation or a range is noted here, with its
// date and why.
//
//	2026-11-26  first version
//	2026-11-26  bay, manifold and ram air wider: the radiator had three quarters
//	            of the rise in nearly every car; no analysis had been run on it
//	2026-11-27  jacket and block heavier: valves opened sooner than in real
//	            records; no analysis had been run on it
package judge
