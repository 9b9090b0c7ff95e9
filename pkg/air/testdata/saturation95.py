# Saturation pressure of water by IAPWS-95, the Helmholtz equation of state, of another shape and
# data than IF97. Debian's python3-iapws. Run: /usr/bin/python3 saturation95.py > saturation95.csv
import iapws
from iapws import IAPWS95
print("# IAPWS-95 saturation pressure, python3-iapws", iapws.__version__)
print("kelvin,pascal")
for c in range(1, 100, 7):
    k = c + 273.15
    print(f"{k:.2f},{IAPWS95(T=k, x=0).P * 1e6:.4f}")
