"""Answers of pandas to the questions of pandas_test.go, on the same rows.

    python3 answers.py        (Debian: python3-pandas; these were made by 1.5.3)

reads drives.csv and writes answers.json, both beside this script. Temperatures
are in degrees Celsius, durations in seconds, speeds in km/h, as in the file.
"""
import json
import os

import numpy as np
import pandas as pd

here = os.path.dirname(os.path.abspath(__file__))
d = pd.read_csv(os.path.join(here, "drives.csv"))
d.columns = [c.split(" (")[0] for c in d.columns]
d["rise"] = d["intake"] - d["ambient"]
answers = {"pandas": pd.__version__}


def table(name, frame):
    """Stores a table, each column as a list; missing is null."""
    answers[name] = {c: [None if pd.isna(v) else v for v in frame[c].tolist()] for c in frame.columns}


def by(columns, rows=d):
    return rows.groupby(columns, sort=False, dropna=False, as_index=False)


# The questions of the notebook.
table("minutes above 50 °C", by(["drive"], d[d["engine-bay"] > 50]).agg(v=("duration", lambda x: x.sum() / 60)))
early = d[(d["since opening"] >= 0) & (d["since opening"] < 300)]
table("bay after opening", by(["drive"], early).agg(v=("engine-bay", "mean")))
table("means by kind", by(["configuration", "driving"]).agg(
    mean=("rise", "mean"), median=("rise", "median"), std=("rise", "std"), least=("rise", "min"), most=("rise", "max"),
    tenth=("rise", lambda x: x.quantile(0.1)), count=("rise", "count"), rows=("drive", "size"), seconds=("duration", "sum")))
# 3.0 may be 2.9999999999999 after a subtraction; it belongs to the bin from 3 on.
counts, edges = np.histogram(d["rise"].dropna().round(9), bins=np.arange(np.floor(d["rise"].min()), np.ceil(d["rise"].max()) + 2))
last = int(np.max(np.nonzero(counts)))
table("histogram", pd.DataFrame({"edge": edges[: last + 1], "count": counts[: last + 1]}))
rolled = d.groupby("drive", sort=False)["intake"].transform(lambda x: x.rolling(7, center=True, min_periods=1).mean())
table("smoothed", pd.DataFrame({"v": rolled.where(d["intake"].notna())}))
table("correlation", d[["speed", "ambient", "engine-bay", "intake"]].corr())
means = by(["configuration", "drive"]).agg(mean=("rise", "mean"))
means["odd"] = means["mean"] - means.groupby("configuration")["mean"].transform("median")
table("odd one out", means)

# What else there is.
step = np.floor(d["since start"] / 60 + 1e-9) * 60
table("resampled", d.assign(step=step).groupby(["drive", "step"], sort=False, as_index=False).agg(
    start=("step", "first"), speed=("speed", "mean"), intake=("intake", "mean"), duration=("duration", "sum"),
    driving=("driving", "first"))[["drive", "start", "speed", "intake", "duration", "driving"]])
table("sorted", d.assign(row=range(len(d))).sort_values(["driving", "intake"], kind="stable")[["row"]])
table("sorted down", d.assign(row=range(len(d))).sort_values("intake", ascending=False, kind="stable")[["row"]])
notes = pd.DataFrame({"drive": ["open filters, first run", "cold-air duct, third run", "cold-air duct, third run", "nobody's"], "who": [1.0, 2.0, 3.0, 4.0]})
table("joined", means.merge(notes, on="drive", how="left")[["drive", "mean", "who"]])
table("joined both", means.merge(notes, on="drive", how="inner")[["drive", "mean", "who"]])
table("either", d.assign(row=range(len(d)))[(d["speed"] < 3) | ~(d["intake"] <= 40) & d["intake"].notna()][["row"]])
table("fahrenheit", pd.DataFrame({"intake": d["intake"] * 1.8 + 32, "rise": d["rise"] * 1.8, "mph": d["speed"] / 1.609344}))

with open(os.path.join(here, "answers.json"), "w", encoding="utf-8") as out:
    json.dump(answers, out, ensure_ascii=False, indent=0)
