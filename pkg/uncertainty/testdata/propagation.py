# First-order propagation by Debian's python3-uncertainties (automatic
# derivatives): ideal-gas density and ISO 1585's factor.
# Run: /usr/bin/python3 propagation.py > propagation.csv
import uncertainties
from uncertainties import ufloat
print("# python3-uncertainties", uncertainties.__version__)
print("pascal,u,kelvin,u,density,u,factor,u")
for p in (95000, 101325):
    for up in (10, 200):
        for t in (280, 300, 330):
            for ut in (0.2, 1.5):
                P, T = ufloat(p, up), ufloat(t, ut)
                d = P / (287.05287 * T)
                a = (99000 / P) ** 1.2 * (T / 298) ** 0.6
                print(p, up, t, ut, repr(d.n), repr(d.s), repr(a.n), repr(a.s), sep=",")
