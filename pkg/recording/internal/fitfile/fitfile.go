// Package fitfile reads the binary files of watches and bicycle computers in
// the FIT protocol: the messages of kind record. The libraries for it carry the
// licence of the protocol's own kit, which may not be passed on; what is needed
// of the form is small.
package fitfile

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/delimited"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Format is FIT.
var Format = format.Format{Name: layout.FIT, Recognise: recognise, Read: read}

// recognise looks for the mark behind the lengths of the header.
func recognise(src *source.Source) bool {
	return len(src.Head) >= 12 && (src.Head[0] == 12 || src.Head[0] == 14) && bytes.Equal(src.Head[8:12], []byte(".FIT"))
}

// maxSize bounds a file, which is decoded in memory: a day at a record a second
// is some 5 MB.
const maxSize = 64 << 20

var header = []string{"time", "latitude (°)", "longitude (°)", "altitude (m)", "speed (m/s)", "distance (m)", "temperature (°C)", "heart rate"}

func read(src *source.Source, how format.Request) (*table.Table, error) {
	if src.Size > maxSize {
		return nil, src.Fail(fmt.Sprintf("is larger than %d MB", maxSize>>20), "export the track as GPX", account.ErrLimit)
	}
	content, err := io.ReadAll(io.NewSectionReader(src.R, 0, src.Size))
	if err != nil {
		return nil, src.Fail("can't be read: "+err.Error(), "copy it again from the device", err)
	}
	all, damage := decode(content)
	if len(all) == 0 {
		why := ""
		if damage != nil {
			why = ": " + damage.Error()
		}
		return nil, src.Fail("is a FIT file without any record of a track"+why, "copy it again from the device, or export the track as GPX", account.ErrNoData)
	}
	w := delimited.Rewritten{Account: account.Account{Unit: "records"}}
	w.Header(header)
	rows := 0
	for i, r := range all {
		w.Account.Lines++
		if r[fieldTime] == 0 {
			w.Account.Rejects = append(w.Account.Rejects, account.Reject{Line: i + 1, Reason: "record without a time"})
			continue
		}
		if err := w.Row(src, cells(r), i+1); err != nil {
			return nil, err
		}
		rows++
	}
	if rows == 0 {
		return nil, src.Fail("is a FIT file whose records have no time", "export the track as GPX", account.ErrNoTime)
	}
	t, err := w.Table(src, how, layout.FIT)
	if err != nil {
		return nil, err
	}
	dropEmpty(t)
	if damage != nil {
		t.Warnings.Add(estimate.LostReadings, t.Name(), fmt.Sprintf("the file is damaged or cut behind record %d (%v); the records before are kept", len(all), damage))
	}
	return t, nil
}

// cells writes a record as text. The profile's newer fields have more bytes
// than those that they replace.
func cells(r record) []string {
	number := func(scale, offset float64, fields ...byte) string {
		for _, f := range fields {
			if v, ok := r[f]; ok {
				return strconv.FormatFloat(float64(v)*scale-offset, 'f', -1, 64)
			}
		}
		return "-"
	}
	const semicircle = 180.0 / (1 << 31)
	return []string{time.Unix(epoch+r[fieldTime], 0).UTC().Format(time.RFC3339),
		number(semicircle, 0, fieldLatitude), number(semicircle, 0, fieldLongitude), number(1.0/5, 500, fieldFineHeight, fieldAltitude),
		number(1e-3, 0, fieldFineSpeed, fieldSpeed), number(1e-2, 0, fieldDistance), number(1, 0, fieldTemperature), number(1, 0, fieldHeart)}
}

// dropEmpty takes out the columns that no record has.
func dropEmpty(t *table.Table) {
	kept := t.Columns[:0]
	for _, c := range t.Columns {
		if c.Present() > 0 || c.Content == layout.HoldsLatitude || c.Content == layout.HoldsLongitude {
			kept = append(kept, c)
		}
	}
	t.Columns = kept
}
