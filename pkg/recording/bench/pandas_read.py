"""Reads the same file with pandas' C reader, dates parsed, in the ways pandas
offers; prints the time of each."""
import resource
import sys
import time

import pandas as pd

path = sys.argv[1]


def report(name, f):
    start, cpu = time.perf_counter(), time.process_time()
    t, d = f()
    took, cpu = time.perf_counter() - start, time.process_time() - cpu
    total = float(d.to_numpy().sum())
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    print(f"{name:34s} rows {len(d):9d}  {took:7.3f} s  {took / len(d) * 1e9:6.0f} ns/row  CPU {cpu:6.3f} s  sum {total:.1f}  "
          f"peak RSS {peak:5.0f} MB  first {t.iloc[0]}", flush=True)


def parse_dates():
    d = pd.read_csv(path, engine="c", parse_dates=[["Date", "Time"]], infer_datetime_format=True)
    return d["Date_Time"], d.iloc[:, 1:]


def afterwards():
    d = pd.read_csv(path, engine="c")
    t = pd.to_datetime(d["Date"] + " " + d["Time"], format="%Y-%m-%d %H:%M:%S")
    return t, d.iloc[:, 2:]


def parts():
    d = pd.read_csv(path, engine="c")
    t = pd.to_datetime(d["Date"], format="%Y-%m-%d", cache=True) + pd.to_timedelta(d["Time"])
    return t, d.iloc[:, 2:]


which = {"parse_dates": parse_dates, "afterwards": afterwards, "parts": parts}
for name in sys.argv[2:] or which:
    report("pandas " + pd.__version__ + " " + name, which[name])
