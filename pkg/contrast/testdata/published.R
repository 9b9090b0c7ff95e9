# Values beside which Mixed, Pool, Welch and Paired are set, by Debian's R
# (r-base-core, r-cran-lme4, r-cran-lmertest, r-cran-pbkrtest, r-cran-metafor):
#   Rscript published.R > published.csv
# Data: sleep of R; Rail of nlme; beats per drive made with seed 20261127; peak
# flow of 13 children under two drugs in two periods (Senn 2002, from memory);
# tuberculosis vaccine of metafor (dat.bcg); eight schools (Rubin 1981).
suppressMessages({library(lme4); library(pbkrtest); library(metafor)})
options(digits = 17)
say <- function(name, values) for (i in seq_along(values)) cat(sprintf("%s[%d],%.12g\n", name, i - 1, values[i]))

# Estimate, standard error and degrees of freedom by Kenward and Roger of one
# coefficient, then the standard deviations between and within groups.
tight <- lmerControl(optimizer = "bobyqa", optCtrl = list(rhobeg = 0.02, rhoend = 1e-10, maxfun = 1e6))
kr <- function(name, formula, data, column) {
  m <- lmer(formula, data, control = tight)
  a <- vcovAdj(m)
  l <- as.numeric(names(fixef(m)) == column)
  s <- as.data.frame(VarCorr(m))$sdcor
  say(name, c(fixef(m)[[column]], sqrt(a[column, column]), Lb_ddf(l, vcov(m), a), s))
}
kr("sleep", extra ~ group + (1 | ID), sleep, "group2")
kr("sleep unbalanced", extra ~ group + (1 | ID), sleep[-c(3, 15, 20), ], "group2")
kr("rail", travel ~ 1 + (1 | Rail), nlme::Rail, "(Intercept)")

drives <- read.table(header = TRUE, text = "
drive after ambient class rise
1 0 12 town 27.1
1 0 12 road 23.0
1 0 12 fast 18.4
2 1 14 town 21.2
2 1 14 fast 11.8
3 1 19 town 22.2
3 1 19 road 16.6
3 1 19 fast 13.1
4 0 17 town 24.9
4 0 17 road 19.9
5 0 21 road 22.4
5 0 21 fast 17.3
6 1 22 town 22.0
6 1 22 road 17.4
6 1 22 fast 14.1
7 1 16 town 20.4
7 1 16 road 14.7
8 0 15 town 26.7
8 0 15 road 20.6
8 0 15 fast 16.8")
kr("drives", rise ~ after + class + I(ambient - 17) + (1 | drive), drives, "after")
kr("drives without ambient", rise ~ after + class + (1 | drive), drives, "after")

fs <- c(310, 270, 310, 260, 370, 300, 410, 390, 250, 210, 380, 350, 330, 365)
sf <- c(370, 385, 310, 400, 380, 410, 290, 320, 260, 340, 90, 220)
flow <- data.frame(flow = c(fs, sf), period = rep(1:2, 13), child = rep(1:13, each = 2),
  f = c(rep(c(1, 0), 7), rep(c(0, 1), 6)))
kr("flow", flow ~ f + period + (1 | child), flow, "f")

# Sugar of beets by block, date of sowing and harvest (beets of pbkrtest): the
# harvest is tested between the plots of a block, so on 2 degrees of freedom.
say("beets values", beets$sugpct)
for (f in c("block", "sow", "harvest")) say(paste("beets", f), as.integer(beets[[f]]) - 1)
kr("beets", sugpct ~ block + sow + harvest + (1 | block:harvest), beets, "harvestharv2")
beets0 <- lmer(sugpct ~ block + sow + (1 | block:harvest), beets)
test <- getKR(KRmodcomp(lmer(sugpct ~ block + sow + harvest + (1 | block:harvest), beets), beets0))
say("beets test", c(test$Fstat, test$ddf, test$p.value))

# Estimate, tau, then standard errors: usual, Hartung and Knapp, modified.
pool <- function(name, y, s) {
  m <- rma(y, sei = s, method = "REML", control = list(threshold = 1e-12, maxiter = 1000))
  k <- rma(y, sei = s, method = "REML", test = "knha", control = list(threshold = 1e-12, maxiter = 1000))
  a <- rma(y, sei = s, method = "REML", test = "adhoc", control = list(threshold = 1e-12, maxiter = 1000))
  say(name, c(m$b, sqrt(m$tau2), m$se, k$se, a$se, k$ci.lb, k$ci.ub, a$ci.lb, a$ci.ub))
}
bcg <- escalc(measure = "RR", ai = tpos, bi = tneg, ci = cpos, di = cneg, data = metadat::dat.bcg)
say("bcg values", bcg$yi)
say("bcg deviations", sqrt(bcg$vi))
pool("bcg", bcg$yi, sqrt(bcg$vi))
pool("eight schools", c(28, 8, -3, 7, -1, 1, 18, 12), c(15, 10, 16, 11, 9, 11, 10, 18))
pool("three drives", c(4.2, 6.1, 1.9), c(0.8, 0.7, 0.9))
pool("four that agree", c(3.0, 3.4, 2.8, 3.1), c(0.9, 0.8, 1.0, 0.7))
pool("two drives", c(4.2, 1.9), c(0.8, 0.9))

w <- t.test(extra ~ group, sleep)
say("welch", c(w$conf.int, w$parameter, w$p.value))
w <- t.test(sleep$extra[1:10], sleep$extra[11:20], paired = TRUE)
say("paired", c(w$conf.int, w$parameter, w$p.value))

# Two one-sided tests (D. J. Schuirmann, J. Pharmacokinet. Biopharm. 15 (1987)
# 657-680): p of "the difference is not within the bound".
tost <- function(bound, ...) t.test(sleep$extra[1:10], sleep$extra[11:20], mu = -bound, alternative = "greater", ...)$p.value
say("within by welch", c(tost(2.5), tost(3)))
say("within by paired", c(tost(2.5, paired = TRUE), tost(3, paired = TRUE)))
