# Values beside which the tests of this package are set, with base R alone:
#   Rscript published.R > published.csv
# Derivatives are symbolic (deriv3), so nothing here rests on differences.
options(digits = 17)
say <- function(name, values) for (i in seq_along(values)) cat(sprintf("%s[%d],%.15g\n", name, i - 1, values[i]))

# First and second order for uncorrelated normal inputs, JCGM 100, 5.1.2, note.
orders <- function(expression, at, u) {
  names <- names(at)
  d <- eval(deriv3(expression, names), as.list(at))
  g <- attr(d, "gradient")[1, ]
  h <- matrix(attr(d, "hessian"), length(names))
  third <- sapply(names, function(j) {
    second <- D(D(expression, j), j)
    sapply(names, function(i) eval(D(second, i), as.list(at)))
  }) # third[i, j] is f_ijj
  diag(third) <- 0
  v <- outer(u^2, u^2)
  c(d, sqrt(sum(g^2 * u^2)), sqrt(sum(g^2 * u^2) + sum((h^2 / 2 + g * third) * v)))
}

# JCGM 100, H.1: nanometres beyond 50 mm.
say("H.1", orders(expression(a + b - (50e6 + a) * (d * th + as * dth))[[1]],
  c(a = 623, b = 215, as = 11.5e-6, th = -0.1, d = 0, dth = 0), c(25, 9.7, 1.2e-6, 0.41, 0.58e-6, 0.029)))

# JCGM 101, 9.3: mg beyond 100 g.
say("9.3", orders(expression((m + dm) * (1 + (ra - 1.2) * (1 / rw - 1 / rr)) - 100000)[[1]],
  c(m = 100000, dm = 1.234, ra = 1.2, rw = 8000, rr = 8000), c(0.05, 0.02, 0.1 / sqrt(3), 1000 / sqrt(3), 50 / sqrt(3))))

# JCGM 101, 9.4: x1^2 + x2^2 at x2 = 0; exact moments of squares of normals.
for (x in c(0, 0.01, 0.05)) say(paste("9.4 at", x), c(x^2 + 2 * 0.005^2, sqrt(4 * x^2 * 0.005^2 + 4 * 0.005^4)))

# JCGM 100, H.2: t for four degrees of freedom.
say("t 4", qt(0.975, 4))

# JCGM 106: probabilities of conformance.
say("conformance 13.6", diff(pnorm(c(12.5, 16.3), 13.6, 1.8)))
say("conformance zener", pnorm(-5.40, -5.47, 0.05))
say("conformance burst", 1 - pnorm(490, 509.7, 8.6))
