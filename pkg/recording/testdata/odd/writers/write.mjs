// Workbooks, tables and databases by libraries of JavaScript.
//   npm install exceljs xlsx sql.js; node write.mjs DIR
import fs from 'node:fs'
import { createRequire } from 'node:module'
const require = createRequire(process.cwd() + '/x.js')
const ExcelJS = require('exceljs'), XLSX = require('xlsx'), initSql = require('sql.js')
const dir = process.argv[2]
const all = JSON.parse(fs.readFileSync(`${dir}/base.json`))
for (const [k, d] of all.entries()) {
  const fahrenheit = k % 3 === 2, unit = fahrenheit ? '°F' : '°C', n = k + (fahrenheit ? 'f' : '')
  const v = x => x === null ? null : fahrenheit ? Math.round((1.8 * x + 32) * 100) / 100 : x
  const head = ['Time', `Intake (${unit})`, `Bay (${unit})`, `Coolant (${unit})`]
  const rows = d.t.map((_, i) => [new Date(d.stamp[i].replace(' ', 'T') + 'Z'), v(d.a[i]), v(d.b[i]), v(d.c[i])])
  const texts = rows.map((r, i) => [d.stamp[i], ...r.slice(1)])

  const book = new ExcelJS.Workbook()
  const sheet = book.addWorksheet('log')
  sheet.addRow(head)
  rows.forEach(r => sheet.addRow(r))
  sheet.getColumn(1).numFmt = ['yyyy-mm-dd hh:mm:ss', 'dd.mm.yyyy hh:mm:ss'][k % 2]
  await book.xlsx.writeFile(`${dir}/out/exceljs-ooxml-${n}.xlsx`)
  if (k < 4) {
    const options = { formatterOptions: { delimiter: [',', ';', '\t', ','][k], quote: k === 3 ? "'" : '"' }, dateFormat: 'YYYY-MM-DD HH:mm:ss', dateUTC: true }
    await book.csv.writeFile(`${dir}/out/exceljs-text-${n}.csv`, options)
  }
  const made = XLSX.utils.book_new()
  XLSX.utils.book_append_sheet(made, XLSX.utils.aoa_to_sheet([head, ...texts]), 'log')
  const forms = k < 4 ? [['biff8', 'xls'], ['xlsx', 'xlsx'], ['ods', 'ods'], ['html', 'html'], ['csv', 'csv']] : [['xlsx', 'xlsx'], ['ods', 'ods']]
  for (const [type, extension] of forms) {
    XLSX.writeFile(made, `${dir}/out/sheetjs-${type}-${n}.${extension}`, { bookType: type, compression: true })
  }
  if (k < 3) {
    const SQL = await initSql(), db = new SQL.Database(), u = fahrenheit ? 'degF' : 'degC'
    db.run(`create table readings (id integer primary key, time text, intake_${u} real, bay_${u} real, coolant_${u} real)`)
    texts.forEach((r, i) => db.run('insert into readings values (?, ?, ?, ?, ?)', [i + 1, ...r]))
    fs.writeFileSync(`${dir}/out/sqljs-sqlite-${n}.sqlite`, db.export())
  }
}
