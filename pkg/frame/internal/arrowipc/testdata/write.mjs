// Writes the small files that the tests read, by two programs that share no code
// with ours or with each other: apache-arrow 21.2.0 (JavaScript) and
// nodejs-polars 0.26.1 (Rust), both from npm.
//
//     npm install apache-arrow@21.2.0 nodejs-polars@0.26.1 && node write.mjs
import { writeFileSync } from "node:fs";
import * as arrow from "apache-arrow";
import pl from "nodejs-polars";

const rows = [...Array(100).keys()];
const start = Date.UTC(2026, 4, 3, 9, 0, 0);
const time = rows.map((i) => (i === 5 ? null : new Date(start + 2000 * i)));
const drive = rows.map((i) => (i % 10 === 3 ? null : i < 50 ? "first" : "zweite, über Land"));
const note = rows.map((i) => (i % 7 === 0 ? null : "note " + i));
const bay = rows.map((i) => (i % 9 === 4 ? null : 40 + i / 8));
const laps = rows.map((i) => i - 50);
const hot = rows.map((i) => (i === 99 ? null : i > 60));

const vector = (values, type) => arrow.vectorFromArray(values, type);
const table = new arrow.Table({
  time: vector(time, new arrow.TimestampMillisecond("UTC")),
  drive: vector(drive, new arrow.Dictionary(new arrow.Utf8(), new arrow.Int16())),
  note: vector(note, new arrow.Utf8()),
  bay: vector(bay, new arrow.Float64()),
  laps: vector(laps, new arrow.Int32()),
  hot: vector(hot, new arrow.Bool()),
});
table.schema.fields[3].metadata.set("unit", "°C").set("quantity", "temperature");
writeFileSync("javascript.arrow", arrow.tableToIPC(table, "file"));
writeFileSync("javascript.arrows", arrow.tableToIPC(table, "stream"));
writeFileSync("nested.arrow", arrow.tableToIPC(new arrow.Table({
  bay: vector([1, 2], new arrow.Float64()),
  rises: vector([[1, 2], [3]], new arrow.List(new arrow.Field("item", new arrow.Float64()))),
}), "file"));

const frame = pl.DataFrame({
  time: pl.Series("time", time, pl.Datetime("us", "UTC")),
  drive: pl.Series("drive", drive, pl.Utf8).cast(pl.Categorical),
  note: pl.Series("note", note, pl.Utf8),
  bay: pl.Series("bay", bay, pl.Float64),
  laps: pl.Series("laps", laps, pl.Int32),
  hot: pl.Series("hot", hot, pl.Bool),
});
for (const compression of ["uncompressed", "lz4", "zstd"]) {
  frame.writeIPC(`rust-${compression}.arrow`, { compression });
}
