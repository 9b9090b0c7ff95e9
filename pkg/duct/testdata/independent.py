# Second checks by other laws and other programs than those the package works:
# python3-fluids (Miller's, Idelchik's, Ito's, Blevins', Crane's and Hooper's
# fittings; laws of porous beds; stagnation pressure of a compressible gas), python3-iapws (Lemmon
# and Jacobsen's air) and SciPy (Graetz' eigenvalue, the energy balance along a
# pipe, means of pulsating flow).
# Run: for t in laws lemmon stagnation pipe pulsation; do
#        /usr/bin/python3 independent.py $t > $t.csv; done
import math, sys
what = sys.argv[1]

def laws():
    import fluids
    from fluids.fittings import bend_rounded, bend_miter, entrance_rounded, contraction_sharp, diffuser_sharp
    print("# python3-fluids", fluids.__version__, "Re 1e5")
    print("kind(1 bend 2 mitre 3 entry 4 contraction 5 expansion),a,b,K,law")
    for a in [30, 45, 60, 90, 120]:
        for r in [1, 1.5, 2, 3]:
            for m in ["Miller", "Ito"]:
                print(f"1,{a},{r},{bend_rounded(Di=.05, angle=a, bend_diameters=r, Re=1e5, roughness=1e-5, method=m)!r},{m}")
    for a in [15, 30, 45, 60, 90, 120]:
        for m in ["Miller", "Blevins"]:
            print(f"2,{a},0,{bend_miter(Di=.05, angle=a, Re=1e5, roughness=1e-5, method=m)!r},{m}")
    for r in [.001, .02, .05, .1, .2]:
        for m in ["Miller", "Idelchik"]:
            print(f"3,{r},0,{entrance_rounded(Di=1, rc=r, method=m)!r},{m}")
    for b in [.2, .4, .6, .8]:
        print(f"4,{b},0,{contraction_sharp(Di1=1, Di2=b, Re=1e5, fd=.02, method='Hooper')!r},Hooper")
        print(f"5,{b},0,{diffuser_sharp(Di1=b, Di2=1, Re=1e5, fd=.02, method='Hooper')!r},Hooper")

def lemmon():
    import iapws
    from iapws.humidAir import Air
    print("# python3-iapws", iapws.__version__, "Air, Lemmon et al. (2000), Lemmon and Jacobsen (2004); 0.1 MPa")
    print("kelvin,viscosity,conductivity,cp")
    for k in range(260, 421, 20):
        a = Air(T=k, P=0.1)
        print(f"{k},{a.mu!r},{a.k!r},{a.cp * 1e3!r}")

def stagnation():
    import fluids
    from fluids.compressible import P_stagnation
    print("# python3-fluids", fluids.__version__, "P_stagnation, 101325 Pa, 288.15 K, kappa 1.4, cp 1004.7")
    print("speed,pressure")
    for v in [5, 10, 15, 20, 30, 40, 50, 70]:
        print(f"{v},{P_stagnation(101325, 288.15, 288.15 + v * v / 2 / 1004.7, 1.4) - 101325!r}")

def pipe():
    import scipy
    from scipy.integrate import solve_ivp
    from scipy.linalg import eigh
    import numpy as np
    from iapws.humidAir import Air
    print("# SciPy", scipy.__version__)
    # Graetz: (r R')' + lambda^2 r (1 - r^2) R = 0, R(1) = 0; Nu = lambda^2/2. Finite volumes.
    n = 2000
    r = (np.arange(n) + .5) / n
    face = np.arange(1, n) / n
    A = np.zeros((n, n))
    for i in range(n - 1):
        A[i, i] += face[i] * n; A[i + 1, i + 1] += face[i] * n
        A[i, i + 1] -= face[i] * n; A[i + 1, i] -= face[i] * n
    A[-1, -1] += 2 * n
    lowest = eigh(A, np.diag(r * (1 - r * r) / n), eigvals_only=True, subset_by_index=[0, 0])[0]
    print("# Graetz, Nusselt number of laminar flow, wall of constant temperature")
    print(f"0,0,0,0,0,{lowest / 2!r}")
    # Outlet of a smooth thin pipe in a bay, air properties of Lemmon along the
    # way, Nusselt number of Petukhov with his own friction factor.
    print("diameter,length,flow m3/s,inlet K,bay K,outlet K (outer coefficient 15)")
    for d, L, q, tin, bay in [(.076, 1, .06, 303.15, 343.15), (.06, .9, .05, 293.15, 328.15), (.05, 2, .03, 283.15, 353.15)]:
        flow = Air(T=tin, P=.101325).rho * q
        def slope(x, y):
            a = Air(T=float(y[0]), P=.101325)
            re = 4 * flow / (math.pi * d * a.mu)
            pr = a.cp * 1e3 * a.mu / a.k
            f = (1.82 * math.log10(re) - 1.64) ** -2
            nu = f / 8 * re * pr / (1.07 + 12.7 * math.sqrt(f / 8) * (pr ** (2 / 3) - 1))
            u = 1 / (d / (nu * a.k) + 1 / 15)
            return [u * math.pi * d * (bay - y[0]) / (flow * a.cp * 1e3)]
        out = solve_ivp(slope, (0, L), [tin], rtol=1e-8).y[0][-1]
        print(f"{d},{L},{q},{tin},{bay},{out!r}")

def pulsation():
    import numpy as np
    print("# NumPy, a million points of the half-sines added up")
    print("cylinders,opening,loss,peak")
    for n in [1, 2, 3, 4, 6, 8]:
        for opening in [180, 240, 300]:
            x = (np.arange(1000000) + .5) * 720 / 1000000
            q = sum(np.where((x - k * 720 / n) % 720 < opening, np.sin(np.pi * ((x - k * 720 / n) % 720) / opening), 0) for k in range(n))
            print(f"{n},{opening},{np.mean(q * q) / np.mean(q) ** 2!r},{q.max() / q.mean()!r}")

def transition():
    import fluids
    from fluids.friction import Churchill_1977
    print("# python3-fluids", fluids.__version__, "Churchill 1977, one law for all Reynolds numbers")
    print("reynolds,roughness,friction")
    for re in range(2310, 4000, 240):
        for r in [0, 1e-3]:
            print(f"{re},{r},{Churchill_1977(re, r)!r}")

def older():
    import fluids
    from fluids.friction import friction_factor
    laws = ["Moody", "Alshul_1952", "Churchill_1973", "Eck_1973", "Jain_1976", "Swamee_Jain_1976",
            "Churchill_1977", "Chen_1979", "Round_1980", "Shacham_1980", "Barr_1981", "Tsal_1989"]
    print("# python3-fluids", fluids.__version__, *laws, "(Wood 1966 strays by 38 % at a roughness of 1e-4)")
    print("reynolds,roughness,lowest,highest")
    for re in [1e4, 3e4, 1e5, 3e5, 1e6]:
        for r in [0, 1e-4, 1e-3, 1e-2]:
            f = [friction_factor(re, r, Method=m) for m in laws]
            print(f"{re!r},{r},{min(f)!r},{max(f)!r}")

def straight():
    import fluids
    from fluids.friction import Churchill_1977
    print("# python3-fluids", fluids.__version__, "isothermal_gas, a compressible gas; dry air of Sutherland's viscosity, 101325 Pa, 20 °C")
    print("diameter,length,flow m3/s,drop Pa")
    rho, mu = 101325 / (287.05287 * 293.15), 1.458e-6 * 293.15 ** 1.5 / (293.15 + 110.4)
    for d, l, q in [(.05, 1, .03), (.05, 5, .06), (.06, .9, .05), (.076, 1, .06), (.076, 10, .1)]:
        f = Churchill_1977(4 * rho * q / (math.pi * d * mu), 0)
        print(f"{d},{l},{q},{101325 - fluids.isothermal_gas(rho=rho, fd=f, P1=101325, L=l, D=d, m=rho * q)!r}")

def mouth():
    import fluids
    from fluids.fittings import entrance_sharp, entrance_rounded, exit_normal
    print("# python3-fluids", fluids.__version__, "a mouth, sharp or rounded by 2 % of its diameter, and the speed lost behind it")
    print("sharp(0) or rounded(1),K,law")
    for m in ["Rennels", "Swamee", "Blevins", "Crane", "Miller", "Idelchik"]:
        print(f"0,{entrance_sharp(method=m) + exit_normal()!r},{m}")
    for m in ["Rennels", "Swamee", "Miller", "Idelchik"]:
        print(f"1,{entrance_rounded(Di=1, rc=.02, method=m) + exit_normal()!r},{m}")

def porous():
    from fluids.packed_bed import packed_beds_correlations as laws
    import fluids
    print("# python3-fluids", fluids.__version__, "beds of grains, 1 cm deep, air of 1.2 kg/m3: pressure drop at half and at twice a speed over that at the speed")
    print("grain m,speed m/s,half,twice,law")
    air = dict(rho=1.2, mu=1.8e-5, voidage=.45, L=.01)
    for name, (law, wall) in laws.items():
        if name.startswith("Guo"): continue  # wants the diameter of the bed, too
        for grain in [2e-5, 1e-4, 1e-3, 1e-2]:
            for v in [.1, 1, 5]:
                drop = [law(dp=grain, vs=v * x, **air) for x in (.5, 1, 2)]
                print(f"{grain},{v},{drop[0] / drop[1]!r},{drop[2] / drop[1]!r},{name.replace(',', '')}")

globals()[what]()
