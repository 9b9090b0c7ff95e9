package recording

import "testing"

// kinNotRight are the files of kin.zip that are not read as they are meant
// without a word.
var kinNotRight = map[outcome]string{
	asked: `again-annotated.csv again-day-fraction.csv again-hhmmss-ymd6.csv clock-order-change.csv count-gps-seconds.csv
		count-matlab.csv count-seconds-1904.csv elapsed-mmss.csv list-burst.jsonl map-times.geojson
		number-tenths-k.csv number-tenths.csv phone-swapped-names.csv stamp-compact-ms.csv stamp-day-first-dash.csv
		stamp-no-century.csv unit-f-bare.csv unit-hot-c.csv unit-switch.csv`,
	warned: `again-decimal-minutes.csv again-fixed-touching.txt again-frames.csv
		again-rows-shuffled.csv again-strings.jsonl book-old-mixed.xls
		clock-forward-hour.csv clock-glitch.csv clock-minute-only.csv clock-set.csv list-ragged.jsonl`,
	refused: `again-cut.csv.gz again-sylk.slk again-xml-sheet.xls card-delimiter-changes.csv clock-parts.csv clock-split.csv
		count-epoch-hex.csv count-epoch-short.csv count-epoch-sixdigits.csv count-serial-mangled.csv db-julian.db
		elapsed-countdown.csv elapsed-days-hms.csv elapsed-iso-duration.csv elapsed-letters.csv elapsed-plus.csv
		elapsed-primes.csv elapsed-tenths.csv frame-index.json head-transposed.csv list-offsets.jsonl
		list-start-interval.json map-bare.geojson map-short-times.geojson map-untimed.geojson
		number-comma-in-comma.csv number-degree.csv number-ok.csv number-star.csv pack-cut.tar pack-two.tar
		phone-pair.csv stamp-chinese.csv stamp-finnish.csv stamp-hungarian.csv stamp-java.csv stamp-json-date.csv
		stamp-korean.csv stamp-reiwa.csv stamp-script.csv stamp-slashed-time.csv stamp-swedish.csv stamp-thai.csv`,
}

// TestKin reads files by somebody who knows loggers and locales, not the reader
// (testdata/odd/kin.py): each is right, or what it is listed as, and none is
// wrong without a word.
func TestKin(t *testing.T) { checkBecame(t, "kin.zip", kinNotRight) }
