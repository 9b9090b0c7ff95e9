package account_test

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
)

// Every line of a file is somewhere.
func ExampleAccount() {
	a := account.Account{Unit: "lines", Lines: 6, Read: 3, Header: 2,
		Rejects: []account.Reject{{Line: 6, Reason: "no time that can be read", Text: "24.05.2026;10:00:0"}},
		Missing: []account.Missing{{Column: "T2", Reason: `no reading: "OL"`, Cells: 1, FirstLine: 4}}}
	fmt.Println(a.Balanced())
	fmt.Print(&a)
	fmt.Print(a.List())
	// Output:
	// true
	//         6  lines, of which
	//         3  read
	//         2  header
	//         1  rejected: no time that can be read (first at line 6)
	//         1  missing cells in lines that were read, of which
	//         1  T2: no reading: "OL" (first at line 4)
	// line 6: no time that can be read: 24.05.2026;10:00:0
}
