"""Posterior of a mean of few values by a fine grid over the scatter.

    python3 posterior.py        (needs numpy and scipy)

p(tau|y) ~ prior * prod w^1/2 * (sum w)^-1/2 * exp(-1/2 sum w (y-mu)^2), with
w = 1/(s^2+tau^2); given tau the mean is normal with variance 1/sum w.
Prints: scatter's median and 95 % point, central 95 % interval, P(mean > 0).
"""
import numpy as np
from scipy import optimize, stats

schools = ([28, 8, -3, 7, -1, 1, 18, 12], [15, 10, 16, 11, 9, 11, 10, 18])
three = ([4.2, 6.1, 1.9], [0.8, 0.7, 0.9])
four = ([3.0, 3.4, 2.8, 3.1], [0.9, 0.8, 1.0, 0.7])
two = ([4.2, 1.9], [0.8, 0.9])
half_normal = lambda scale: (lambda t: stats.norm.logpdf(t, 0, scale))
# lognormal: the density of tau, whose logarithm is normal
log_normal = lambda median, deviation: (lambda t: stats.lognorm.logpdf(t, deviation, 0, median))
half_t = lambda nu, scale: (lambda t: stats.t.logpdf(t, nu, 0, scale))

for name, (y, s), prior, scale in [
    ("eight schools, half-Cauchy 25", schools, half_t(1, 25), 25),
    ("eight schools, half-normal 25", schools, half_normal(25), 25),
    ("first three, half-Cauchy 25", (schools[0][:3], schools[1][:3]), half_t(1, 25), 25),
    ("three drives, half-normal 1", three, half_normal(1), 1),
    ("three drives, half-t3 2", three, half_t(3, 2), 2),
    ("three drives, half-t3 4", three, half_t(3, 4), 4),
    ("four that agree, half-normal 1", four, half_normal(1), 1),
    ("two drives, half-normal 1", two, half_normal(1), 1),
    ("two drives, half-Cauchy 1", two, half_t(1, 1), 1),
    ("eight schools, lognormal 10, 1", schools, log_normal(10, 1), 10),
    ("three drives, lognormal 1.4, 1.5", three, log_normal(1.4, 1.5), 1.4),
    ("four that agree, lognormal 1.4, 1.5", four, log_normal(1.4, 1.5), 1.4),
    ("two drives, lognormal 1.4, 1.5", two, log_normal(1.4, 1.5), 1.4),
]:
    y, s = np.array(y, float), np.array(s, float)
    u = (np.arange(40000) + 0.5) / 40000
    tau = scale * u / (1 - u)
    w = 1 / (s[None, :] ** 2 + tau[:, None] ** 2)
    mu = (w * y).sum(1) / w.sum(1)
    log = prior(tau) + 0.5 * np.log(w).sum(1) - 0.5 * np.log(w.sum(1)) - 0.5 * (w * (y - mu[:, None]) ** 2).sum(1)
    p = np.exp(log - log.max()) / (1 - u) ** 2
    p /= p.sum()
    sd = w.sum(1) ** -0.5
    below = lambda x: (p * stats.norm.cdf((x - mu) / sd)).sum()
    quantile = lambda q: optimize.brentq(lambda x: below(x) - q, -1e4, 1e4)
    c = np.cumsum(p)
    print(f"{name}: {np.interp(.5, c, tau):.4f} {np.interp(.95, c, tau):.4f} {quantile(.025):.4f} {quantile(.975):.4f} {1 - below(0):.5f}")
