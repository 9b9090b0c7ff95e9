# Density of humid air by IAPWS G8-10 (the equation of state of TEOS-10), with
# saturation by IAPWS-IF97 and the enhancement factor of CIPM-2007.
# Debian's python3-iapws. Run: /usr/bin/python3 humidair.py > humidair.csv
import iapws
from iapws import iapws97
from iapws.humidAir import HumidAir
print("# IAPWS G8-10 humid air, python3-iapws", iapws.__version__)
print("celsius,humidity,pascal,density")
for p in (70000, 85000, 95000, 101325):
    for t in (-10, 0, 10, 20, 30, 40, 50, 60, 70, 80):
        for h in (0.0, 0.2, 0.5, 0.8, 0.95, 0.99):
            T = t + 273.15
            es = iapws97._PSat_T(max(T, 273.15)) * 1e6
            if t < 0:
                if h > 0:
                    continue
            f = 1.00062 + 3.14e-8 * p + 5.6e-7 * t * t
            x = h * f * es / p
            r = x * 18.015268 / ((1 - x) * 28.96546)
            W = r / (1 + r)  # the library takes the mass fraction of vapour
            # Completely dry air is outside the library's range: 1 part in a million.
            a = HumidAir(T=T, P=p / 1e6, W=max(W, 1e-6))
            if a.status == 1 and hasattr(a, "rho"):
                print(f"{t},{h},{p},{a.rho:.8f}")
