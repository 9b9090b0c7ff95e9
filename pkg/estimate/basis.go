package estimate

// Basis says what an interval rests on.
type Basis int

// The bases.
const (
	NoBasis       Basis = iota // no interval is given
	BetweenDrives              // how the means of whole drives differ
	WithinDrive                // scatter within one drive, widened for autocorrelation
	Likelihood                 // how well the data allow other values of the parameter
	Propagated                 // standard uncertainties of the inputs (JCGM 100, 5.1.2)
	MonteCarlo                 // propagated distributions (JCGM 101)
	Bounds                     // tolerances or rival formulas: a range without probability
	Stated                     // given by a person or a certificate
)

// String returns the basis in words.
func (b Basis) String() string {
	switch b {
	case BetweenDrives:
		return "from differences between drives"
	case WithinDrive:
		return "from scatter within the drive"
	case Likelihood:
		return "from the likelihood"
	case Propagated:
		return "from the inputs' uncertainties"
	case MonteCarlo:
		return "by Monte Carlo"
	case Bounds:
		return "bounds, no probability"
	case Stated:
		return "as stated"
	}
	return "no interval"
}
