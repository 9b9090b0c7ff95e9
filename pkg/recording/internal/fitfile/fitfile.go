// Package fitfile reads the binary files of watches and bicycle computers in
// the FIT protocol: the messages of kind record.
package fitfile

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strconv"
	"time"

	"github.com/muktihari/fit/decoder"
	"github.com/muktihari/fit/profile/mesgdef"
	"github.com/muktihari/fit/profile/typedef"

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

func read(src *source.Source, how format.Request) (t *table.Table, err error) {
	defer func() {
		if p := recover(); p != nil {
			t, err = nil, src.Fail(fmt.Sprintf("is a damaged FIT file: %v", p), "copy it again from the device", account.ErrNotText)
		}
	}()
	if src.Size > maxSize {
		return nil, src.Fail(fmt.Sprintf("is larger than %d MB", maxSize>>20), "export the track as GPX", account.ErrLimit)
	}
	all, damage := records(src)
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
		if r.Timestamp.IsZero() {
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
	if t, err = w.Table(src, how, layout.FIT); err != nil {
		return nil, err
	}
	dropEmpty(t)
	if damage != nil {
		t.Warnings.Add(estimate.LostReadings, t.Name(), fmt.Sprintf("the file is damaged or cut behind record %d (%v); the records before are kept", len(all), damage))
	}
	return t, nil
}

// records decodes the records up to the end or to the first damage.
func records(src *source.Source) (all []*mesgdef.Record, damage error) {
	d := decoder.New(io.NewSectionReader(src.R, 0, src.Size), decoder.WithIgnoreChecksum())
	for d.Next() {
		file, err := d.Decode()
		if file != nil {
			for i := range file.Messages {
				if file.Messages[i].Num == typedef.MesgNumRecord {
					all = append(all, mesgdef.NewRecord(&file.Messages[i]))
				}
			}
		}
		if err != nil {
			return all, err
		}
	}
	return all, nil
}

// cells writes a record as text. The profile's newer fields have more digits
// than those that they replace.
func cells(r *mesgdef.Record) []string {
	number := func(values ...float64) string {
		for _, v := range values {
			if !math.IsNaN(v) && !math.IsInf(v, 0) {
				return strconv.FormatFloat(v, 'f', -1, 64)
			}
		}
		return "-"
	}
	row := []string{r.Timestamp.UTC().Format(time.RFC3339Nano), number(r.PositionLatDegrees()), number(r.PositionLongDegrees()),
		number(r.EnhancedAltitudeScaled(), r.AltitudeScaled()), number(r.EnhancedSpeedScaled(), r.SpeedScaled()), number(r.DistanceScaled()), "-", "-"}
	if r.Temperature != math.MaxInt8 {
		row[6] = strconv.Itoa(int(r.Temperature))
	}
	if r.HeartRate != math.MaxUint8 {
		row[7] = strconv.Itoa(int(r.HeartRate))
	}
	return row
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
