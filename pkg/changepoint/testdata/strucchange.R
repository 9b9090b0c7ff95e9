# Break dates, RSS, BIC and confidence intervals by R's strucchange (Debian
# package r-cran-strucchange 1.5-3), for the test of this package.
# Rscript strucchange.R > strucchange.csv
suppressMessages(library(strucchange))
show <- function(name, y, most) {
  b <- breakpoints(y ~ 1, breaks = most)
  s <- summary(b)$RSS
  for (m in 0:most) cat(name, "rss", m, sprintf("%.6f", s["RSS", m + 1]), sprintf("%.6f", s["BIC", m + 1]),
    if (m > 0) breakpoints(b, breaks = m)$breakpoints, "\n")
  ci <- confint(b)$confint
  for (i in 1:nrow(ci)) cat(name, "interval", ci[i, 1], ci[i, 2], ci[i, 3], "\n")
}
show("nile", as.numeric(Nile), 5)
# A made-up sequence with three regimes, written to made.csv for the Go test.
set.seed(20240517)
x <- c(rnorm(60, 0, 1), rnorm(50, 1.5, 2), rnorm(70, 0.2, 1))
write(sprintf("%.12f", x), "made.csv", ncolumns = 1)
x <- scan("made.csv", quiet = TRUE)
show("made", x, 4)
for (q in c(-20, -5, -1, -0.1, 0, 0.1, 1, 5, 20)) for (v in c(0.5, 1, 3))
  cat("argmax", q, v, sprintf("%.12f", strucchange:::pargmaxV(q, xi = 1, phi1 = 1, phi2 = sqrt(v))), "\n")
# First Brownian test of the noise: lh data, AR(1) coefficient
cat("lh", sprintf("%.6f", acf(lh, plot = FALSE)$acf[2]), "\n")
