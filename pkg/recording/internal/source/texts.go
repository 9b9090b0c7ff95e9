package source

import (
	"bytes"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
)

// FillTexts fetches the text of rejected lines that were only found out later.
// It fails where the file can't be read again.
func FillTexts(src *Source, a *account.Account) error {
	want := map[int]int{}
	for i, r := range a.Rejects {
		if r.Text == "" && len(want) < 10000 {
			want[r.Line] = i
		}
	}
	if len(want) == 0 {
		return nil
	}
	for l, err := range src.Lines() {
		if err != nil {
			return err
		}
		if i, ok := want[l.Number]; ok && !l.Long {
			a.Rejects[i].Text = cell.Excerpt(bytes.TrimRight(l.Text, "\r"))
		}
	}
	return nil
}
