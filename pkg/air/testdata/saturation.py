# Saturation vapour pressure of water by IAPWS-IF97 (Debian's python3-iapws).
# Run: /usr/bin/python3 saturation.py > saturation.csv
import iapws
from iapws import iapws97
print("# IAPWS-IF97 saturation pressure, python3-iapws", iapws.__version__)
print("kelvin,pascal")
for k10 in range(27320, 37320, 500):
    k = k10 / 100
    print(f"{k:.2f},{iapws97._PSat_T(k) * 1e6:.6f}")
