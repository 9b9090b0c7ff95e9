package plan

import (
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Card is a sheet to take along: what to do before, on and after each drive, and
// the drives in their order.
type Card struct {
	Before, After string
	// Done are the configurations of the drives that were made already, in
	// order; Drives those that are still to be made.
	Done, Drives []string
	// Units are those of what is to be written down; zero ones are the usual.
	Units quantity.Preferred
}

// NewCard plans drives until each configuration has n, in the order A-B-B-A: two
// by two, each pair the other way round than the one before, so that a steady
// drift falls on both alike. done are the configurations of drives that were
// made already, in order of time. It fails for n outside 1 to 30, and where the
// two are one.
//
// Source: pairs in turn for one object, K. C. Carriere et al. 2015.
func NewCard(before, after string, n int, done ...string) (Card, error) {
	c := Card{Before: before, After: after, Done: done}
	if before == after || before == "" || after == "" {
		return c, fmt.Errorf("plan: a card needs two configurations with names, not %q and %q", before, after)
	}
	if n < 1 || n > mostDrives {
		return c, quantity.OutOfRange("plan", "drives of each configuration", float64(n), 1, mostDrives, quantity.Unit{}, "4 is a good number")
	}
	left := map[string]int{before: n, after: n}
	place := 0
	for _, d := range done {
		left[d]--
		place++
	}
	for left[before] > 0 || left[after] > 0 {
		next := before
		if place%4 == 1 || place%4 == 2 {
			next = after
		}
		if left[next] <= 0 {
			next = other(next, before, after)
		}
		left[next]--
		place++
		c.Drives = append(c.Drives, next)
	}
	return c, nil
}

func other(name, before, after string) string {
	if name == before {
		return after
	}
	return before
}

// once are lines of the checklist, before those of [Card.each]; cautions stand
// before both.
var (
	cautions = []string{
		"Work on probes, hoses and ducts with the engine cold and off, ignition key out. Fans start by themselves; fuel, exhaust and radiator burn.",
		"Fix cables and hoses clear of fan, belts, throttle linkage and exhaust. Close the bonnet and try the throttle's return before you drive.",
		"Look at no screen while driving: start the loggers before, stop them after. Local law counts, and a passenger helps.",
		"Full throttle only where road, law, traffic and the car's condition allow it; lift at once when it knocks. In cold damp air a cold intake can ice.",
		"When in doubt about fuel, brakes or steering, ask a licensed workshop, and do not drive.",
	}
	once = []string{
		"All probes in one cup of water for ten minutes, ice-cold and hot; note which plug is which probe.",
		"The intake's probe stays where it is when the configuration changes. If it has to come out, write it down.",
		"Set the loggers' and the phone's clocks. One step for all, two seconds or less.",
	}
)

// In returns the card for somebody who reads the given units.
func (c Card) In(units quantity.Preferred) Card {
	c.Units = units
	return c
}

// cold is how far above the outside air the coolant of a cold engine may be, in
// K. Common practice, no source.
const cold = 5.0

// each is what to do on each drive.
func (c Card) each() []string {
	return []string{
		"The engine is cold: the coolant within " + c.Units.Say(quantity.KindTemperatureDifference, "%.0f", cold) + " of the outside air.",
		"Loggers and phone are running, and show sensible numbers.",
		"The same road, the same time of day, no rain, tyres and load as ever.",
		"Ten minutes after the thermostat opened before anything counts; after a stop the same.",
		"Two full pulls where it is safe and allowed; write down where they were.",
		"Outside air, pressure and humidity written down, and whatever was unusual.",
	}
}

// String returns the card as Markdown, for a notebook or a printer.
func (c Card) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "# Test card: %s against %s\n\n", plain(c.Before), plain(c.After))
	list := func(title, mark string, lines []string) {
		fmt.Fprintf(&b, "**%s**\n\n", title)
		for _, l := range lines {
			fmt.Fprintf(&b, "- %s%s\n", mark, l)
		}
		b.WriteString("\n")
	}
	list("First, safety", "", cautions)
	list("Once", "☐ ", once)
	list("On each drive", "☐ ", c.each())
	if len(c.Drives) == 0 {
		b.WriteString("No drive is left to be made.\n")
		return b.String()
	}
	b.WriteString("| drive | configuration | date | outside " + c.Units.Of(quantity.KindTemperature).Symbol() + " | pulls | remarks |\n|---|---|---|---|---|---|\n")
	for i, d := range c.Drives {
		fmt.Fprintf(&b, "| %d | %s | | | | |\n", len(c.Done)+i+1, plain(d))
	}
	return b.String()
}

// plain keeps a name from meaning anything in Markdown.
func plain(name string) string {
	return strings.NewReplacer("\\", "\\\\", "|", "\\|", "*", "\\*", "_", "\\_", "`", "\\`", "<", "&lt;", "[", "\\[", "#", "\\#", "\n", " ").Replace(name)
}
