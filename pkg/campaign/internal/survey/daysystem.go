package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// yearsApart in seconds is how much later all other devices recorded where one whose
// files hold day numbers may count from 1904.
const yearsApart = 3 * 365.25 * 86400

// DaySystems looks at devices whose files are texts with bare day numbers, which don't
// say from which day these count: where all others recorded years later, it is asked.
// answers gives the settings of layout by device.
func DaySystems(all []*Device, folder string, answers map[string]map[string]string) {
	for _, d := range all {
		if !d.countsDays() {
			continue
		}
		if value := answers[d.Name][timeKey]; value != "" {
			d.settleKey(timeKey, value)
			for _, f := range d.Files {
				f.readWith(folder, timeKey, value)
			}
			continue
		}
		_, last := extent([]*Device{d})
		first, _ := extent(slices.DeleteFunc(slices.Clone(all), func(o *Device) bool { return o.countsDays() }))
		if !(first-last > yearsApart) {
			continue
		}
		day := func(at float64) string { return time.Unix(int64(at), 0).UTC().Format(time.DateOnly) }
		q := Question{Key: timeKey, Guess: string(recording.SpreadsheetDays1904), Choices: []string{string(recording.SpreadsheetDays1904), string(recording.SpreadsheetDays)},
			Text: fmt.Sprintf("%s has day numbers: as spreadsheets count they end on %s, and the other devices begin on %s; \"days since 1904\" are 1462 days later", d.Files[0].Path, day(last), day(first))}
		for _, f := range d.Files {
			q.Files = append(q.Files, f.Path)
		}
		d.Open = append(d.Open, q)
	}
}

// countsDays reports whether the files are texts with day numbers, and ask nothing
// about them.
func (d *Device) countsDays() bool {
	if strings.HasPrefix(d.Settled[timeKey], "days") {
		return false
	}
	for _, f := range d.Files {
		l := f.ways[0].Recording.Layout
		switch l.Format {
		case recording.Text:
		default:
			return false
		}
		if l.TimeFormat != recording.SpreadsheetDays || f.asks(timeKey) {
			return false
		}
	}
	return true
}

// extent is from when to when devices recorded, by dates as read; NaN without any.
func extent(all []*Device) (first, last float64) {
	first, last = math.NaN(), math.NaN()
	for _, d := range all {
		for _, f := range d.Files {
			if r := f.ways[0].Recording; r.Dated {
				from, to := span(r)
				first, last = least(first, from), most(last, to)
			}
		}
	}
	return first, last
}
