# Friction, fittings and air properties by Debian's python3-fluids.
# Run: /usr/bin/python3 friction.py colebrook > colebrook.csv
#      /usr/bin/python3 friction.py fittings > fittings.csv
#      /usr/bin/python3 friction.py air > air.csv
import math, sys
import fluids
from fluids.friction import Colebrook
from fluids.fittings import bend_rounded, bend_miter, entrance_rounded, contraction_sharp, diffuser_sharp
from fluids.atmosphere import ATMOSPHERE_1976 as A
print("# python3-fluids", fluids.__version__, sys.argv[1])
if sys.argv[1] == "colebrook":
    print("reynolds,roughness,friction")
    for re in [4e3, 1e4, 3e4, 1e5, 3e5, 1e6, 1e7, 1e8]:
        for r in [0, 1e-6, 1e-4, 1e-3, 1e-2, 5e-2]:
            print(f"{re!r},{r!r},{Colebrook(re, r)!r}")
elif sys.argv[1] == "fittings":
    print("kind(1 bend 2 mitre 3 entry 4 contraction 5 expansion),a,b,K")
    for a in [15, 30, 45, 60, 90, 120, 180]:
        for r in [1, 1.5, 2, 3, 5]:
            print(f"1,{a},{r},{bend_rounded(Di=.05, angle=a, fd=.02, bend_diameters=r, method='Rennels')!r}")
        print(f"2,{a},0,{bend_miter(Di=.05, angle=a, method='Rennels')!r}")
    for r in [0, .02, .05, .1, .2, .3]:
        print(f"3,{r},0,{entrance_rounded(Di=1, rc=r, method='Rennels')!r}")
    for b in [.2, .4, .6, .8, 1]:
        print(f"4,{b},0,{contraction_sharp(Di1=1, Di2=b)!r}")
        print(f"5,{b},0,{diffuser_sharp(Di1=b, Di2=1)!r}")
else:
    print("kelvin,viscosity,conductivity")
    for k in range(240, 421, 20):
        print(f"{k},{A.viscosity(k)!r},{A.thermal_conductivity(k)!r}")
