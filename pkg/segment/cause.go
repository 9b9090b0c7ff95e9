package segment

import "fmt"

// Cause is why a stretch is not settled.
type Cause int

// The causes, in the order in which they are looked for.
const (
	NoCause        Cause = iota // settled, or not judged
	NoSpeed                     // no speed there
	OpeningUnknown              // it is not known whether the thermostat was open, or the engine warm
	WarmingUp                   // before the thermostat opened, or the engine was warm by a rule
	Soaking                     // heat soak after a stop
	AtRest                      // heat builds up at rest
	TooSoon                     // too soon after the opening, or after a warm start
	TooShort                    // shorter than Rules.MinimumDuration
	Drifting                    // the intake's rise drifts
)

// String returns the cause in words.
func (c Cause) String() string {
	names := [...]string{"", "no speed", "it is not known whether the engine was warm", "the engine was warming up",
		"heat soak after a stop", "heat builds up at rest", "too soon after the opening or a warm start", "too short", "the intake drifts"}
	if c < 0 || int(c) >= len(names) {
		return fmt.Sprintf("Cause(%d)", int(c))
	}
	return names[c]
}
