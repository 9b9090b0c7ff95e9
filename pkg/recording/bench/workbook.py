"""Writes a workbook of a stamp and four temperatures, or reads one with pandas'
openpyxl reader and prints time and peak memory, as bench does.

usage: workbook.py write FILE ROWS, or workbook.py read FILE
"""
import datetime
import random
import resource
import sys
import time

if sys.argv[1] == "write":
    import openpyxl

    random.seed(1)
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("log")
    sheet.append(["Time", "T1 (°C)", "T2 (°C)", "T3 (°C)", "T4 (°C)"])
    start = datetime.datetime(2025, 1, 1)
    for i in range(int(sys.argv[3])):
        sheet.append([start + datetime.timedelta(seconds=i)] + [round(20 + 15 * k + random.random() * 9, 1) for k in range(4)])
    book.save(sys.argv[2])
else:
    import pandas as pd

    start, cpu = time.perf_counter(), time.process_time()
    d = pd.read_excel(sys.argv[2], engine="openpyxl")
    took, cpu = time.perf_counter() - start, time.process_time() - cpu
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    print(f"pandas {pd.__version__} openpyxl  rows {len(d):9d}  {took:7.3f} s  CPU {cpu:6.3f} s  sum {float(d.iloc[:, 1:].to_numpy().sum()):.1f}  peak RSS {peak:5.0f} MB", flush=True)
