#!/usr/bin/python3
# Writes if97_saturation.csv with Debian's python3-iapws (tried: 1.5.2), an
# independent implementation of IAPWS-IF97, region 4.
#   /usr/bin/python3 if97_saturation.py > if97_saturation.csv
from iapws.iapws97 import _TSat_P, _PSat_T
print("kind,argument,result")
for i in range(41):
    p = 0.0007 * (21.9 / 0.0007) ** (i / 40)
    print("T_of_p/MPa,%.9g,%.9f" % (p, _TSat_P(p)))
for hpa in range(700, 1081, 20):
    print("T_of_p/MPa,%.9g,%.9f" % (hpa * 1e-4, _TSat_P(hpa * 1e-4)))
for i in range(38):
    t = 273.15 + i * 10
    print("p_of_T/K,%.9g,%.12g" % (t, _PSat_T(t)))
