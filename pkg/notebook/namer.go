package notebook

// Namer is a value that knows names which texts in cells may be: a campaign
// knows its drives, a table its columns. A kernel that has one in a variable
// completes them between quotes.
type Namer interface {
	// NamesFor returns the names that a text may be which the named method of
	// the value is given; of no method, "", all names.
	NamesFor(method string) []string
}
