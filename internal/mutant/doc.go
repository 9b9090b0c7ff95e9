// Package mutant runs fuzz targets on inputs that it changes at random, many in
// one process and without the instruments of coverage: where the go command
// manages hundreds or thousands a second, this manages what the target does.
// The go command finds new ways into the code; this counts, on those ways, up
// to numbers that a claim wants. Tests only.
//
// A target is written once for both, as a function of an [F]:
//
//	func FuzzNumber(f *testing.F) { fuzzNumber(f) }
//
//	func fuzzNumber(f mutant.F) {
//		f.Add("1.5")
//		f.Fuzz(func(t *testing.T, s string) { ... })
//	}
//
// and a test with the build tag proof hands it to [Formats] or [Values].
//
// The input of each execution is a function of seed, number and the inputs to
// begin with, so that one that ends the process can be made again: run from
// the number that was told last, with FUZZ_RECORD, which writes each input to a
// file before it is tried.
package mutant
