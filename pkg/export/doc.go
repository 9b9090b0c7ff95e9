// Package export writes a drive as a file for other programs: text that any
// spreadsheet reads, or Parquet. Readers and analyses do not need it, so that
// whoever takes only them does not get a columnar file format as well.
package export
