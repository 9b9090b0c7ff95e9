#!/usr/bin/env python3
"""Counts what fuzzing has done, so that long runs add up.

usage: fuzzcount.py run [TIME]    runs every fuzz target for TIME (20s) and adds
                                  one line a target to .ci/fuzz.tsv
       fuzzcount.py               prints executions and minutes of each target,
                                  all lines together, beside what is wanted

A line holds the commit that was fuzzed, the package, the target, executions,
seconds, and how it ended. ONLY=regular expression takes some targets only;
GOMAXPROCS bounds the workers. A target that fails is written down as failed
and the run goes on; the exit status is 1 then.
"""
import os
import re
import subprocess
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
TABLE = os.path.join(HERE, "fuzz.tsv")
HEAD = "commit\tpackage\ttarget\texecutions\tseconds\tended\n"
MODULE = "github.com/bonnetbook/bonnetbook/"

# Parsers of single values are asked for a hundred times as much as formats.
SINGLE = {"FuzzNumber", "FuzzParse", "FuzzParsePressure", "FuzzDensity", "FuzzDate", "FuzzClock", "FuzzDegrees", "FuzzHeading", "FuzzConfigure", "FuzzRole"}
WANTED = {True: (10**8, 0), False: (10**6, 30)}  # executions, minutes


def go(*args):
    return subprocess.run([os.environ.get("GO", "go"), *args], capture_output=True, text=True, cwd=os.path.dirname(HERE))


def targets():
    for package in go("list", "./...").stdout.split():
        listed = go("test", "-list", "^Fuzz", package)
        for name in re.findall(r"^Fuzz\w+$", listed.stdout, re.M):
            yield package, name


def run(length):
    commit = go_commit()
    only = re.compile(os.environ.get("ONLY", ""))
    failed = 0
    for package, name in targets():
        if not only.search(name):
            continue
        out = go("test", "-run", "^$", "-fuzz", f"^{name}$", "-fuzztime", length, "-fuzzminimizetime", "5x", package)
        counts = re.findall(r"elapsed: (\S+?), execs: (\d+)", out.stdout)
        executions = int(counts[-1][1]) if counts else 0
        length_run = seconds(counts[-1][0]) if counts else 0  # without building
        ended = "clean" if out.returncode == 0 else "FAILED"
        failed += out.returncode != 0
        new = not os.path.exists(TABLE)
        with open(TABLE, "a", encoding="utf-8") as table:
            if new:
                table.write(HEAD)
            table.write(f"{commit}\t{package.removeprefix(MODULE)}\t{name}\t{executions}\t{length_run:.0f}\t{ended}\n")
        print(f"{name}: {executions} executions, {ended}", flush=True)
        if out.returncode != 0:
            print(out.stdout[-3000:], out.stderr[-2000:])
    return failed


def seconds(text):
    """1m20s as the go command writes it."""
    return sum(float(n) * {"h": 3600, "m": 60, "s": 1}[u] for n, u in re.findall(r"([0-9.]+)([hms])", text))


def go_commit():
    out = subprocess.run(["git", "log", "-1", "--format=%h %cs"], capture_output=True, text=True, cwd=HERE)
    return out.stdout.strip() or "unknown"


def report():
    sums = {}
    with open(TABLE, encoding="utf-8") as table:
        for line in table.read().splitlines()[1:]:
            commit, package, name, executions, seconds, ended = line.split("\t")
            s = sums.setdefault((package, name), [0, 0, set(), 0])
            s[0] += int(executions)
            s[1] += int(seconds)
            s[2].add(commit)
            s[3] += ended != "clean"
    print(f"{'package':44} {'target':20} {'executions':>13} {'wanted':>12} {'minutes':>8} {'wanted':>7} {'commits':>8} {'failed':>7}")
    for (package, name), (executions, took, commits, failed) in sorted(sums.items()):
        most, minutes = WANTED[name in SINGLE]
        print(f"{package:44} {name:20} {executions:13,} {most:12,} {took / 60:8.1f} {minutes or '-':>7} {len(commits):8} {failed:7}")


if __name__ == "__main__":
    if len(sys.argv) > 1 and sys.argv[1] == "run":
        bad = run(sys.argv[2] if len(sys.argv) > 2 else "20s")
        report()
        sys.exit(bad > 0)
    report()
