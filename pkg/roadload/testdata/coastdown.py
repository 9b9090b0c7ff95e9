# Coast-downs integrated by SciPy (DOP853) with slope and wind, noise added, and
# fitted by SciPy's least_squares: an independent solution of the same problem.
# Run: /usr/bin/python3 coastdown.py > coastdown.csv
import numpy as np, scipy
from scipy.integrate import solve_ivp
from scipy.optimize import least_squares

M, ME, G = 1150.0, 1150.0 * 1.03, 9.80665
F0, F2, SLOPE, WIND = 160.0, 0.45, 0.003, 1.5
rng = np.random.default_rng(7)
t = np.arange(0.0, 61.0, 1.0)

def trace(f0, f2, slope, wind, v0, back):
    d = -1 if back else 1
    sin = slope / np.sqrt(1 + slope * slope)
    def f(_, v):
        w = v + d * wind
        return -(f0 + f2 * w * np.abs(w) + d * M * G * sin) / ME
    return solve_ivp(f, (0, t[-1]), [v0], t_eval=t, method="DOP853", rtol=1e-10, atol=1e-10).y[0]

starts = [30.0, 30.5, 29.5, 31.0]
backs = [False, True, False, True]
clean = [trace(F0, F2, SLOPE, WIND, v, b) for v, b in zip(starts, backs)]
noisy = [c + rng.normal(0, 0.1, len(c)) for c in clean]

def residual(x):
    f0, f2, slope, wind = x[0] * 100, x[1] * 0.4, x[2] * 0.005, x[3]
    return np.concatenate([n - trace(f0, f2, slope, wind, v, b) for n, v, b in zip(noisy, x[4:], backs)])

fit = least_squares(residual, [1.5, 1, 0, 0] + [n[0] for n in noisy], xtol=1e-12, ftol=1e-12, gtol=1e-12)
print("# scipy", scipy.__version__, "mass 1150 kg, inertia 3 %, F0 160, F2 0.45, slope 0.003, wind 1.5 m/s")
print("fit", *[repr(float(v)) for v in [fit.x[0] * 100, fit.x[1] * 0.4, fit.x[2] * 0.005, fit.x[3]]], sep=",")
print("time,clean1,clean2,clean3,clean4,noisy1,noisy2,noisy3,noisy4")
for i in range(len(t)):
    print(f"{t[i]!r}," + ",".join(f"{float(c[i])!r}" for c in clean + noisy))
