// Package survey looks at the files of a folder before anything is known of
// them: which can be read as a log and what they leave open, which come from
// one device and what its columns suggest, which belong to one drive. It
// writes nothing and decides nothing for its user.
package survey

// Undecided stands where a person must decide.
const Undecided = "?"

// SpareRole stands before the role of a column that is kept beside the one
// that plays it.
const SpareRole = "spare "
