# U.S. Standard Atmosphere 1976 (Debian's python3-fluids), geometric altitude.
# Run: /usr/bin/python3 atmosphere.py > atmosphere.csv
import fluids
from fluids.atmosphere import ATMOSPHERE_1976
print("# python3-fluids", fluids.__version__, "ATMOSPHERE_1976")
print("metre,kelvin,pascal,density,geopotential")
for z in list(range(0, 11001, 250)):
    a = ATMOSPHERE_1976(z)
    print(f"{z},{a.T!r},{a.P!r},{a.rho!r},{a.H!r}")
