// Reads a file of ours by both programs of write.mjs and prints what they found:
//
//     node read.mjs ours.arrow > ours.json
import { readFileSync } from "node:fs";
import * as arrow from "apache-arrow";
import pl from "nodejs-polars";

const path = process.argv[2];
const table = arrow.tableFromIPC(readFileSync(path));
const javascript = {};
for (const field of table.schema.fields) {
  javascript[field.name] = {
    type: String(field.type), unit: field.metadata.get("unit"), quantity: field.metadata.get("quantity"),
    values: [...table.getChild(field.name)].map((v) => (typeof v === "bigint" ? Number(v) : v)),
  };
}
const frame = pl.readIPC(readFileSync(path));
const rust = {};
for (const name of frame.columns) {
  const column = frame.getColumn(name);
  rust[name] = { type: String(column.dtype), values: column.toArray().map((v) => (v instanceof Date ? v.getTime() : v ?? null)) };
}
console.log(JSON.stringify({ javascript, rust }));
