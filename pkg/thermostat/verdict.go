package thermostat

// verdict is what one channel alone says.
type verdict struct {
	outcome   Outcome
	evidence  *Evidence
	fullyOpen float64
	rejected  []Candidate
	reason    string
	// firm is set where regulation or an unmistakable rise stands behind it.
	firm bool
	// vague is set where another instant could be meant.
	vague bool
	// held is the level that the coolant keeps; the zero value without one.
	held Held
}
