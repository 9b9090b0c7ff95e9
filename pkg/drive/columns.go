package drive

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/internal/spelling"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// inputs gives the recording's columns their roles.
func inputs(s Source, r *recording.Recording) ([]Input, []estimate.Warning, error) {
	var all []Input
	var warnings []estimate.Warning
	for _, c := range s.Columns {
		if c.Role == "" {
			continue
		}
		col, warning, err := findColumn(r, c.Name)
		if err != nil && s.Session > 0 { // below another header a file may have other columns
			warnings = append(warnings, estimate.Warning{Kind: estimate.LostReadings, Subject: c.Name, Text: fmt.Sprintf("session %d has no such column, and goes on without it", s.Session)})
			continue
		}
		if err != nil {
			return nil, nil, fmt.Errorf("device %q: %w", s.Device, err)
		}
		if warning != "" {
			warnings = append(warnings, estimate.Warning{Kind: estimate.Ambiguous, Subject: col.Name, Text: warning})
		}
		in := Input{Role: c.Role, Series: col.Series, Column: strconv.Quote(col.Name), Unit: col.Unit, Calibration: c.Calibration, Rank: c.Rank}
		if col.Derived {
			in.Repairs = append(in.Repairs, "computed from other columns: "+col.UnitReason)
		}
		for _, m := range r.Account.Missing {
			if m.Column == col.Name {
				in.Repairs = append(in.Repairs, fmt.Sprintf("%d cells read as missing: %s", m.Cells, m.Reason))
			}
		}
		if want, _ := c.Role.Dimension(); col.Dimension != want && col.Unit == "" {
			return nil, nil, fmt.Errorf("device %q: the file %s gives no unit for column %q, which should be a %v; add it to the device's layout: columns = [{ name = %q, holds = %q, unit = \"…\" }]",
				s.Device, r.File, col.Name, want, col.Name, want)
		}
		all = append(all, in)
	}
	return all, warnings, nil
}

// findColumn finds a column by its header's name, or by its number: see
// [Column].
func findColumn(r *recording.Recording, name string) (*recording.Column, string, error) {
	for _, c := range r.Columns {
		if strings.EqualFold(strings.TrimSpace(c.Name), strings.TrimSpace(name)) {
			return c, "", nil
		}
	}
	if n, ok := strings.CutPrefix(strings.ToLower(name), "column "); ok {
		if k, err := strconv.Atoi(n); err == nil {
			for _, c := range r.Columns {
				if c.Number == k {
					return c, "", nil
				}
			}
		}
	}
	if k, err := strconv.Atoi(name); err == nil && k >= 1 && k <= len(r.Columns) {
		c := r.Columns[k-1]
		return c, otherNumber(c.Name, k), nil
	}
	var names []string
	for _, c := range r.Columns {
		names = append(names, c.Name)
	}
	return nil, "", fmt.Errorf("%s has no column %q; it has %s, which can also be named by number from \"1\" to \"%d\"%s", r.File, name, spelling.QuoteAll(names), len(names), spelling.Suggestion(name, names))
}

// otherNumber warns where channel k has a header that carries another number.
func otherNumber(header string, k int) string {
	digits := strings.TrimLeft(header, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz .-_#")
	n, err := strconv.Atoi(strings.TrimSpace(digits))
	if err != nil || n == k || n == 0 {
		return ""
	}
	return fmt.Sprintf("channel %d is the column with the header %q; if channel %d was meant, name it by its header", k, header, n)
}
