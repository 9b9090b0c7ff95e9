// Package warm says from when on an engine counts as warm: from the opening of
// its thermostat where that is seen, else by the rule that its owner states, or
// from an instant that the owner gives.
//
// What is compared afterwards rests on that instant. Where it is a rule's, a
// thermostat that stayed closed is not noticed, and the answer says so.
package warm
