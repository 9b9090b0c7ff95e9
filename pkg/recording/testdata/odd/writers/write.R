# Tables, workbooks, databases and JSON by libraries of R.
#   Rscript write.R DIR   (Debian: r-cran-openxlsx r-cran-rsqlite
#                          r-cran-jsonlite r-cran-data.table)
dir <- commandArgs(TRUE)[1]
all <- jsonlite::fromJSON(file.path(dir, "base.json"), simplifyVector = FALSE)
numbers <- function(x) vapply(x, function(v) if (is.null(v)) NA_real_ else as.numeric(v), 0)
for (k in seq_along(all) - 1) {
  d <- all[[k + 1]]
  fahrenheit <- k %% 4 == 3
  unit <- if (fahrenheit) "\u00b0F" else "\u00b0C"
  v <- function(x) { x <- numbers(x); if (fahrenheit) round(1.8 * x + 32, 2) else x }
  n <- paste0(k, if (fahrenheit) "f" else "")
  out <- function(what, ext) file.path(dir, "out", sprintf("%s-%s.%s", what, n, ext))
  frame <- data.frame(time = unlist(d$stamp), a = v(d$a), b = v(d$b), c = v(d$c))
  names(frame) <- c("Time", paste0(c("Intake (", "Bay (", "Coolant ("), unit, ")"))
  dated <- frame
  dated$Time <- as.POSIXct(frame$Time, tz = "UTC")
  openxlsx::write.xlsx(dated, out("r-ooxml", "xlsx"))
  if (k < 4) {
    write.csv(frame, out("r-csv", "csv"), row.names = FALSE, na = "", fileEncoding = "UTF-8")
    write.csv2(frame, out("r-csv2", "csv"), row.names = FALSE, na = "", quote = FALSE, fileEncoding = "UTF-8")
    write.table(frame, out("r-table", "txt"), sep = "\t", row.names = FALSE, na = "NA", fileEncoding = "UTF-16LE")
    data.table::fwrite(dated, out("r-fwrite", "csv"))
    writeLines(jsonlite::toJSON(frame, na = "null", digits = 6), out("r-records", "json"), useBytes = TRUE)
    jsonlite::stream_out(frame, file(out("r-lines", "jsonl"), open = "wb"), verbose = FALSE, na = "null")
    db <- RSQLite::dbConnect(RSQLite::SQLite(), out("r-sqlite", "db"))
    RSQLite::dbWriteTable(db, "log", setNames(frame, c("time", paste0(c("intake_", "bay_", "coolant_"), if (fahrenheit) "degF" else "degC"))))
    RSQLite::dbDisconnect(db)
  }
}
