// Package release says for which Go release this program is being built, and
// refuses to be compiled by one that it is not fitted to. Every package with a
// file for each release imports it, so that this one sentence is all that a
// build with an unknown release prints.
package release
