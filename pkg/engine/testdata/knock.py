# The knock integral of a smooth history by SciPy's adaptive quadrature.
# Run: /usr/bin/python3 knock.py > knock.csv
import math, scipy
from scipy.integrate import quad
print("# SciPy", scipy.__version__, "quad; p = 6 atm + rise·sin²(π t/(2 T)), T_u = 620 K·(p/6 atm)^0.25, delay of Douaud and Eyzat")
print("octane,duration s,rise atm,integral")
for octane, duration, rise in [(90, .004, 30), (95, .006, 34), (100, .003, 44), (80, .010, 20)]:
    def rate(t):
        p = 6 + rise * math.sin(math.pi * t / (2 * duration)) ** 2
        return 1 / (17.68e-3 * (octane / 100) ** 3.402 * p ** -1.7 * math.exp(3800 / (620 * (p / 6) ** .25)))
    print(f"{octane},{duration},{rise},{quad(rate, 0, duration, epsabs=0, epsrel=1e-12)[0]!r}")
