# Reference values for the tests of this package, printed as name,value lines:
#   Rscript regression.R > regression.csv
# Data sets are those that come with R: lh (48 hormone readings, Diggle 1990),
# Nile (1871-1970, Cobb 1978), cars (Ezekiel 1930).
options(digits = 17)
say <- function(name, values) {
  for (i in seq_along(values)) cat(sprintf("%s[%d],%.15g\n", name, i - 1, values[i]))
}

# Autoregression by Yule-Walker, order by Akaike's criterion: order 3, printed
# in R's help page of ar as 0.6534 -0.0636 -0.2269, sigma^2 0.1959.
a <- ar(lh)
say("ar lh", a$ar)
say("ar lh variance", a$var.pred)
a <- ar(Nile, order.max = 10)
say("ar Nile", a$ar)
say("ar Nile variance", a$var.pred)

# Ordinary least squares with intervals.
m <- lm(dist ~ speed, cars)
say("cars coefficients", coef(m))
say("cars covariance", vcov(m))
say("cars sigma", summary(m)$sigma)
p <- predict(m, data.frame(speed = 21), interval = "confidence", level = 0.9)
say("cars confidence at 21", p)
p <- predict(m, data.frame(speed = 21), interval = "prediction", level = 0.9)
say("cars prediction at 21", p)

# Weights.
m <- lm(dist ~ speed, cars, weights = 1 / cars$speed)
say("cars weighted coefficients", coef(m))
say("cars weighted covariance", vcov(m))

# Generalised least squares with a given AR(1), by the dense covariance matrix,
# and by nlme where it is there.
t <- seq_along(Nile) - 1
x <- cbind(1, t)
gls1 <- function(phi) {
  v <- phi^abs(outer(t, t, "-")) / (1 - phi^2)
  w <- solve(t(chol(v)))
  lm.fit(w %*% x, w %*% as.numeric(Nile))
}
f <- gls1(0.3)
say("Nile gls 0.3 coefficients", coef(f))
say("Nile gls 0.3 rss", sum(f$residuals^2))
s2 <- sum(f$residuals^2) / f$df.residual
say("Nile gls 0.3 covariance", chol2inv(f$qr$qr[1:2, 1:2]) * s2)
if (requireNamespace("nlme", quietly = TRUE)) {
  d <- data.frame(y = as.numeric(Nile), t = t)
  g <- nlme::gls(y ~ t, d, correlation = nlme::corAR1(0.3, fixed = TRUE))
  say("Nile nlme 0.3 coefficients", coef(g))
  say("Nile nlme 0.3 covariance", vcov(g))
  say("Nile nlme 0.3 sigma", g$sigma)
}

# Fit and correlation in turns (iterated Prais-Winsten).
phi <- 0
for (i in 1:200) {
  r <- as.numeric(Nile) - x %*% coef(gls1(phi))
  phi <- sum(r[-1] * r[-length(r)]) / sum(r^2)
}
say("Nile iterated phi", phi)
say("Nile iterated coefficients", coef(gls1(phi)))

# A given AR(2) filtered out of y and columns, the first two rows lost.
fl <- function(v) stats::filter(v, c(1, -0.4, 0.2), sides = 1)
f <- lm(fl(as.numeric(Nile)) ~ 0 + fl(rep(1, 100)) + fl(t))
say("Nile AR2 coefficients", coef(f))
say("Nile AR2 covariance", vcov(f))
# Variance and first correlation of that process, innovations of variance 1.
say("AR2 correlation", ARMAacf(c(0.4, -0.2), lag.max = 1)[2])
psi <- c(1, ARMAtoMA(c(0.4, -0.2), lag.max = 200))
say("AR2 variance", sum(psi^2))

