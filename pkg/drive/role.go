package drive

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/internal/spelling"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// ownPrefix begins the name of a role of the owner's own, intakePrefix that of
// one of several intake probes; longestName bounds the name of the former.
const (
	ownPrefix    = "own "
	intakePrefix = "intake "
	longestName  = 40
	mostIntakes  = 9
)

// Own returns the role of a temperature at a place that the program knows
// nothing of: "own manifold", "own fuel". It is shown and checked like others,
// and a comparison can allow for it.
func Own(name string) Role { return Role(ownPrefix + name) }

// IsOwn reports whether the role is one of the owner's own.
func (r Role) IsOwn() bool {
	name, own := strings.CutPrefix(string(r), ownPrefix)
	return own && name != "" && len(name) <= longestName && name == strings.TrimSpace(name)
}

// IntakeProbe returns the role of the n-th of several intake probes, counted
// from 1: "intake 1", "intake 2". Together they make the [Intake] of a drive.
func IntakeProbe(n int) Role { return Role(intakePrefix + strconv.Itoa(n)) }

// IntakeNumber returns which of several intake probes the role is, from 1 to 9;
// 0 for any other role.
func (r Role) IntakeNumber() int {
	digits, intake := strings.CutPrefix(string(r), intakePrefix)
	n, err := strconv.Atoi(digits)
	if !intake || err != nil || n < 1 || n > mostIntakes || IntakeProbe(n) != r {
		return 0
	}
	return n
}

// IsIntake reports whether the role is the intake or one of several intake
// probes.
func (r Role) IsIntake() bool { return r == Intake || r.IntakeNumber() > 0 }

// ParseRole returns the role of that name: one of [Roles], "own " with a name
// of the owner's, or "intake 1" to "intake 9". It fails for any other, and says
// which there are.
func ParseRole(name string) (Role, error) {
	r := Role(name)
	if _, known := r.Dimension(); known {
		return r, nil
	}
	if strings.HasPrefix(name, strings.TrimSpace(ownPrefix)) {
		return "", fmt.Errorf("%q is not a role; one of your own is \"own\", a blank and a name of at most %d characters: \"own manifold\"", name, longestName)
	}
	var names []string
	for _, known := range Roles() {
		names = append(names, string(known))
	}
	return "", fmt.Errorf("%q is not a role%s; roles are %s, \"own NAME\" for a temperature elsewhere, and \"intake 1\", \"intake 2\" for several intakes", name, spelling.Suggestion(name, names), strings.Join(names, ", "))
}

// Dimension returns what a channel of this role must measure, and whether the
// role is known.
func (r Role) Dimension() (quantity.Kind, bool) {
	if r.IsOwn() || r.IntakeNumber() > 0 {
		return quantity.KindTemperature, true
	}
	d, ok := dimensions[r]
	return d, ok
}

// OwnRoles returns the roles of the owner's own that the drive has, in
// alphabetical order.
func (d *Drive) OwnRoles() []Role {
	return slices.DeleteFunc(d.RoleList(), func(r Role) bool { return !r.IsOwn() })
}

// IntakeProbes returns the roles of the several intake probes of the drive, in
// order; none where there is one probe without a number.
func (d *Drive) IntakeProbes() []Role {
	return slices.DeleteFunc(d.RoleList(), func(r Role) bool { return r.IntakeNumber() == 0 })
}
