# First-order probes by SciPy: noisy plunges fitted by curve_fit, the gain of
# noise by Savitzky and Golay's coefficients, and the answer of a slow probe to
# changing air by lsim.
# Run: for t in plunge gain answer; do /usr/bin/python3 lag.py $t > lag_$t.csv; done
import sys
import numpy as np, scipy
from scipy.optimize import curve_fit
from scipy.signal import savgol_coeffs, lsim, StateSpace

print("# scipy", scipy.__version__)
what = sys.argv[1]
if what == "plunge":
    # a row: time constant, SciPy's, its standard error, then 61 readings a second apart
    rng = np.random.default_rng(3)
    t = np.arange(61.0)
    def f(t, level, start, tau, step, drift):
        x = np.maximum(0, t - start)
        return level + np.where(t > start, step * (1 - np.exp(-x / tau)) + drift * x, 0)
    for tau in [2.0, 4.0, 7.5, 12.0]:
        for _ in range(2):
            truth = [293.0, 8 + 4 * rng.random(), tau, 60.0, -0.02]
            y = f(t, *truth) + rng.normal(0, 0.3, len(t))
            p, c = curve_fit(f, t, y, p0=truth)
            print(",".join(repr(float(v)) for v in [tau, p[2], c[2, 2] ** .5, *y]))
elif what == "gain":
    print("tau,step,width,gain")
    for tau in [1, 3, 5]:
        for step in [.5, 1, 2]:
            for n in [3, 5, 9]:
                k = savgol_coeffs(n, 1) + tau * savgol_coeffs(n, 1, deriv=1, delta=step)
                print(f"{tau},{step},{(n - 1) * step},{float(np.sqrt(np.sum(k * k)))!r}")
else:
    print("time,air,probe of 4 s")
    t = np.arange(0, 240, .1)
    air = 300 + 6 * np.sin(2 * np.pi * t / 90) + 0.02 * t
    _, y, _ = lsim(StateSpace([[-1 / 4]], [[1 / 4]], [[1]], [[0]]), air - air[0], t)
    for i in range(0, len(t), 10):
        print(f"{t[i]:.1f},{float(air[i])!r},{float(y[i] + air[0])!r}")
