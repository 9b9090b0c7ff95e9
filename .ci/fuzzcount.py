#!/usr/bin/env python3
"""Counts what fuzzing has done, so that long runs add up.

usage: fuzzcount.py run [TIME]    fuzzes every target by the go command for TIME
                                  (20s) and adds one line a target to .ci/fuzz.tsv
       fuzzcount.py prove         runs every target in one process, without the
                                  instruments of coverage (internal/mutant), until
                                  the table holds what is wanted of it; adds lines
       fuzzcount.py               prints executions and minutes of each target,
                                  all lines since its last failure together,
                                  beside what is wanted

A line holds the commit that was fuzzed, the package, the target, executions,
seconds, how it ended, and by which engine: "go" is the go command's, "mutant,
seed N" that of internal/mutant. ONLY=regular expression takes some targets
only. A target that fails is written down as failed and the run goes on; the
exit status is 1 then.

run: GOMAXPROCS bounds the workers.
prove: EXECUTIONS and MINUTES ask for other limits than the wanted ones, JOBS is
how many targets run at a time (2; each on one processor), SEED the seed (1).
Lines of the same seed since the last failure are counted, and their inputs are
not tried again: a run that was broken off goes on. AGAIN=1 begins anew. After each
quarter of an hour of a target a line is added, so that nothing is lost.
"""
import concurrent.futures
import os
import re
import subprocess
import sys
import tempfile
import threading

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(HERE)
TABLE = os.path.join(HERE, "fuzz.tsv")
HEAD = "commit\tpackage\ttarget\texecutions\tseconds\tended\tengine\n"
MODULE = "github.com/bonnetbook/bonnetbook/"
PIECE = 15  # minutes at most until a line is added

# Parsers of single values are asked for a hundred times as much as formats.
SINGLE = {"FuzzNumber", "FuzzParse", "FuzzParsePressure", "FuzzDensity", "FuzzDate", "FuzzClock", "FuzzDegrees", "FuzzHeading", "FuzzConfigure", "FuzzRole"}
WANTED = {True: (10**8, 0), False: (10**6, 30)}  # executions, minutes

lock = threading.Lock()  # of the table and of what is printed
built_from = ""  # the commit that the tests were built from


def go(*args):
    return subprocess.run([os.environ.get("GO", "go"), *args], capture_output=True, text=True, cwd=ROOT)


def targets():
    """The fuzz targets by their names in the sources: to build every test for a
    list of them takes minutes."""
    only = re.compile(os.environ.get("ONLY", ""))
    form = "{{.ImportPath}}\t{{.Dir}}\t{{join .TestGoFiles \",\"}}\t{{join .XTestGoFiles \",\"}}"
    for line in go("list", "-f", form, "./...").stdout.splitlines():
        package, folder, inside, outside = line.split("\t")
        for name in filter(None, inside.split(",") + outside.split(",")):
            with open(os.path.join(folder, name), encoding="utf-8") as source:
                for target in re.findall(r"^func (Fuzz\w+)\(", source.read(), re.M):
                    if only.search(target):
                        yield package, target


def add(package, name, executions, took, ended, engine):
    with lock:
        new = not os.path.exists(TABLE)
        with open(TABLE, "a", encoding="utf-8") as table:
            if new:
                table.write(HEAD)
            table.write(f"{built_from or commit()}\t{package.removeprefix(MODULE)}\t{name}\t{executions}\t{took:.0f}\t{ended}\t{engine}\n")
        print(f"{name}: {executions:,} executions in {took:.0f} s, {ended}", flush=True)


def run(length):
    failed = 0
    for package, name in targets():
        out = go("test", "-run", "^$", "-fuzz", f"^{name}$", "-fuzztime", length, "-fuzzminimizetime", "5x", package)
        counts = re.findall(r"elapsed: (\S+?), execs: (\d+)", out.stdout)
        executions = int(counts[-1][1]) if counts else 0
        took = seconds(counts[-1][0]) if counts else 0  # without building
        failed += out.returncode != 0
        add(package, name, executions, took, "clean" if out.returncode == 0 else "FAILED", "go")
        if out.returncode != 0:
            print(out.stdout[-3000:], out.stderr[-2000:])
    return failed


def seconds(text):
    """1m20s as the go command writes it."""
    return sum(float(n) * {"h": 3600, "m": 60, "s": 1}[u] for n, u in re.findall(r"([0-9.]+)([hms])", text))


def commit():
    out = subprocess.run(["git", "log", "-1", "--format=%h %cs"], capture_output=True, text=True, cwd=HERE)
    return out.stdout.strip() or "unknown"


def prove():
    seed = os.environ.get("SEED", "1")
    cache = go("env", "GOCACHE").stdout.strip()
    global built_from
    built_from = commit()
    with tempfile.TemporaryDirectory() as scratch:
        jobs = []
        for package, name in targets():
            binary = os.path.join(scratch, package.replace("/", "_"))
            if not os.path.exists(binary):
                built = go("test", "-c", "-tags", "proof", "-o", binary, package)
                if built.returncode != 0:
                    sys.exit(built.stdout + built.stderr)
            jobs.append((package, name, binary, os.path.join(cache, "fuzz", package), seed))
        with concurrent.futures.ThreadPoolExecutor(int(os.environ.get("JOBS", "2"))) as pool:
            return sum(pool.map(lambda job: not prove_one(*job), jobs))


def prove_one(package, name, binary, corpus, seed):
    """Runs one target in pieces until enough; false where it fails."""
    engine = f"mutant, seed {seed}"
    executions, minutes = WANTED[name in SINGLE]
    executions = int(float(os.environ.get("EXECUTIONS", executions)))
    minutes = float(os.environ.get("MINUTES", minutes))
    done, took = (0, 0) if os.environ.get("AGAIN") else so_far(package, name, engine)
    while done < executions or took < 60 * minutes:
        out, now, in_piece = attempt(package, name, binary, corpus, seed, done, max(0, executions - done), max(0, 60 * minutes - took))
        done += now
        took += in_piece
        ended = "clean" if out is None else "FAILED"
        add(package, name, now, in_piece, ended, engine)
        if out is not None:
            with lock:
                print(out[-6000:], flush=True)
            return False
    return True


def attempt(package, name, binary, corpus, seed, start, executions, length, record=""):
    """Runs one piece. Returns what was printed where it failed, else None; the
    executions; the seconds."""
    folder = os.path.join(ROOT, package.removeprefix(MODULE))
    env = dict(os.environ, GOMAXPROCS="1", FUZZ_CORPUS=corpus, FUZZ_SEED=seed, FUZZ_FROM=str(start),
               FUZZ_EXECUTIONS=str(executions), FUZZ_TIME=f"{length:.0f}s", FUZZ_MOST=f"{PIECE}m", FUZZ_RECORD=record)
    ran = subprocess.run([binary, "-test.run", f"^TestFuzzProof$/^{name}$", "-test.timeout", "0"],
                         stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, errors="replace", cwd=folder, env=env)
    counted = re.search(rf"^fuzzed\t{name}\t(\d+)\t(\d+)", ran.stdout, re.M)
    if counted:
        return None if ran.returncode == 0 else ran.stdout, int(counted[1]), int(counted[2])
    if ran.returncode == 0:
        return f"{name} is not in TestFuzzProof of {folder}: add it to fuzz_proof_test.go\n{ran.stdout}", 0, 0
    # The process itself ended: a panic on a goroutine of the reader's, or no
    # memory. The input is made again, written before it is tried.
    if record:
        return ran.stdout, 0, 0
    told = re.findall(rf"^tried\t{name}\t(\d+)", ran.stdout, re.M)
    begin = int(told[-1]) if told else start
    with tempfile.TemporaryDirectory() as scratch:
        record = os.path.join(scratch, "input")
        again, _, _ = attempt(package, name, binary, corpus, seed, begin, executions, length, record)
        if again is not None and os.path.exists(record):
            kept = os.path.join(folder, "testdata", "fuzz", name)
            os.makedirs(kept, exist_ok=True)
            kept = os.path.join(kept, f"seed-{seed}-from-{begin}")
            with open(record, "rb") as source, open(kept, "wb") as copy:
                copy.write(source.read())
            return f"{again}\nthe input is kept: {kept}", begin - start, 0
    return f"{ran.stdout}\n{name} ended its process, and did not with the same inputs again", begin - start, 0


def rows():
    with open(TABLE, encoding="utf-8") as table:
        for line in table.read().splitlines()[1:]:
            yield line.split("\t")


def so_far(package, name, engine):
    """Executions and seconds since the last failure."""
    done, took = 0, 0
    for r in rows():
        if r[1] == package.removeprefix(MODULE) and r[2] == name and r[6] == engine:
            done, took = (done + int(r[3]), took + int(r[4])) if r[5] == "clean" else (0, 0)
    return done, took


def report():
    sums = {}
    for commit_, package, name, executions, took, ended, _ in rows():
        s = sums.setdefault((package, name), [0, 0, set(), 0])
        if ended != "clean":  # what was tried before was another program
            s[:3] = 0, 0, set()
            s[3] += 1
            continue
        s[0] += int(executions)
        s[1] += int(took)
        s[2].add(commit_)
    print(f"{'package':44} {'target':20} {'executions':>13} {'wanted':>12} {'minutes':>8} {'wanted':>7} {'commits':>8} {'failed':>7}")
    for (package, name), (executions, took, commits, failed) in sorted(sums.items()):
        most, minutes = WANTED[name in SINGLE]
        print(f"{package:44} {name:20} {executions:13,} {most:12,} {took / 60:8.1f} {minutes or '-':>7} {len(commits):8} {failed:7}")


if __name__ == "__main__":
    bad = 0
    if sys.argv[1:2] == ["run"]:
        bad = run(sys.argv[2] if len(sys.argv) > 2 else "20s")
    elif sys.argv[1:2] == ["prove"]:
        bad = prove()
    elif len(sys.argv) > 1:
        sys.exit(__doc__)
    report()
    sys.exit(bad > 0)
