// Package warm says from when on an engine counts as warm: from the opening of
// its thermostat where that is seen, else by the rule that its owner states, or
// from an instant that the owner gives, or since the coolant has held the level of a
// thermostat whose opening can't be told, as with a valve that leaks.
//
// What is compared afterwards rests on that instant. Where it is a rule's, a
// thermostat that stayed closed is not noticed, and the answer says so.
package warm
