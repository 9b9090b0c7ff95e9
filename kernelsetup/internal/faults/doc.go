// Package faults runs the program and, at each of its system calls that change
// files, kills it, lets that call fail, or fills the disk (tests only).
package faults
