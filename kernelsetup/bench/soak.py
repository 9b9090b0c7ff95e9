#!/usr/bin/env python3
"""Works in one notebook for twenty minutes and watches what the kernel keeps.

    python3 kernelsetup/bench/soak.py --program PATH [--minutes 20] [--store FILE]

The cells redeclare variables, functions, types and methods, run goroutines,
print, fail, make and drop a hundred megabytes, ask for completion and help;
each answer is compared with what it must be. Memory is that of the program and
of all processes that it started, after three seconds of rest, once a minute.
The second half of the time counts: its growth (a straight line by least
squares) must stay below 1 KB a cell, and nothing else may become more: threads,
open files, processes. Needs jupyter_client; Linux only (/proc).
"""
import argparse
import os
import shutil
import sys
import tempfile
import time

from jupyter_client.manager import start_new_kernel

from kernel import answers, install

LIMIT = 1024  # bytes a cell

# Each is a cell with the end of its answer; %d is the number of the round.
CELLS = [
    ('import ("fmt"; "strings"; "sort"; "errors"; "time")', ""),
    ("n := %d\nn", "%d"),
    ("type Reading struct { Seconds, Celsius float64 }\n"
     "func (r Reading) Kelvin() float64 { return r.Celsius + 273.15 + %d*0 }\n"
     "r := Reading{1, 20}\nfmt.Sprintf(\"%%.2f\", r.Kelvin())", '"293.15"'),
    ("func double[T int | float64](x T) T { return 2*x + %d*0 }\ndouble(n)", "*2"),
    ("counter := func() func() int { c := %d; return func() int { c++; return c } }()\ncounter()", "+1"),
    ('words := strings.Fields("a rise in the bay is seen at the intake")\nsort.Strings(words)\nlen(words) + 0*%d', "10"),
    ("for i := range 200 { fmt.Println(i, %d) }", "lines"),
    ('errors.New("cell %d fails, as it should")', "error"),
    ("[]int{1}[n]", "error"),
    ("done := make(chan int)\nfor i := range 50 { go func() { done <- i } () }\n"
     "sum := 0*%d\nfor range 50 { sum += <-done }\nsum", "1225"),
    ("big := make([]byte, 100<<20)\nbig[%d] = 1\nlen(big)", "104857600"),
    ("big = nil\nlen(big) + 0*%d", "0"),
    ("ticker := time.NewTicker(time.Hour)\nticker.Stop()\n0*%d", "0"),
    ('m := map[string][]Reading{"a": {r, r}}\nlen(m["a"]) + 0*%d', "2"),
]
EVERY = 50  # the hundred megabytes once in so many rounds


def expected(want, i):
    return {"%d": str(i), "*2": str(2 * i), "+1": str(i + 1)}.get(want, want)


class Notebook:
    def __init__(self):
        self.km, self.kc = start_new_kernel(kernel_name="bonnetbook")
        self.cells = 0

    def run(self, code):
        self.cells += 1
        shown, failed = "", False
        for kind, content in answers(self.kc, self.kc.execute(code, stop_on_error=False), 60):
            if kind == "execute_result":
                shown += content["data"]["text/plain"]
            elif kind == "stream":
                shown += content["text"]
            elif kind == "error":
                failed = True
        return shown, failed

    def round(self, i):
        for code, want in CELLS:
            if "big" in code and i % EVERY:
                continue
            shown, failed = self.run(code % i if "%" in code else code)
            want = expected(want, i)
            good = failed if want == "error" else not failed and (
                shown.count("\n") == 200 if want == "lines" else shown == want)
            if not good:
                sys.exit("round %d: the cell\n%s\nanswered %r" % (i, code, shown))
        self.kc.complete("words.", 6)
        self.kc.get_shell_msg(timeout=60)
        self.kc.inspect("strings.Fields", 10)
        self.kc.get_shell_msg(timeout=60)
        self.cells += 2

    def processes(self):
        found, look = [], [self.km.provisioner.process.pid]
        while look:
            pid = look.pop()
            try:
                tasks = os.listdir("/proc/%d/task" % pid)
                for t in tasks:
                    with open("/proc/%d/task/%s/children" % (pid, t)) as f:
                        look += [int(p) for p in f.read().split()]
            except OSError:
                continue
            found.append(pid)
        return found

    def use(self):
        """Returns bytes in memory, threads, open files and processes."""
        memory = threads = files = 0
        pids = self.processes()
        for pid in pids:
            with open("/proc/%d/smaps_rollup" % pid) as f:
                memory += sum(int(l.split()[1]) for l in f if l.startswith("Pss:")) * 1024
            threads += len(os.listdir("/proc/%d/task" % pid))
            files += len(os.listdir("/proc/%d/fd" % pid))
        return memory, threads, files, len(pids)


def slope(points):
    """Least squares of the second by the first."""
    n = len(points)
    mx, my = sum(p[0] for p in points) / n, sum(p[1] for p in points) / n
    return sum((x - mx) * (y - my) for x, y in points) / sum((x - mx) ** 2 for x, _ in points)


def main():
    args = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    args.add_argument("--program", required=True, help="the kernel's program")
    args.add_argument("--minutes", type=int, default=20)
    args.add_argument("--store", help="write the table to this file")
    args = args.parse_args()
    work = tempfile.mkdtemp(prefix="soak ")
    install(os.path.abspath(args.program), work)

    table = ["command: make soak", "", "minute  cells  memory MB  threads  files  processes"]
    print("\n".join(table))
    book, rows, i = Notebook(), [], 0
    for minute in range(1, args.minutes + 1):
        until = time.monotonic() + 57
        while time.monotonic() < until:
            i += 1
            book.round(i)
        time.sleep(3)
        rows.append((book.cells,) + book.use())
        table.append("%6d %6d %10.1f %8d %6d %10d" % ((minute, book.cells, rows[-1][1] / 1e6) + rows[-1][2:]))
        print(table[-1], flush=True)
    book.kc.stop_channels()
    book.km.shutdown_kernel()
    shutil.rmtree(work, ignore_errors=True)

    half = rows[len(rows) // 2:]
    growth = slope([r[:2] for r in half])
    faults = []
    if growth > LIMIT:
        faults.append("memory grows")
    first = rows[len(rows) // 2 - 1]
    for k, what in ((2, "threads"), (3, "files"), (4, "processes")):
        if half[-1][k] > first[k] + 2:
            faults.append("%s become more" % what)
    table += ["", "growth in the second half: %.0f bytes a cell (limit %d)" % (growth, LIMIT),
              "threads, files, processes: at most two more than at half time" if not faults else ", ".join(faults)]
    print("\n".join(table[-2:]))
    if args.store:
        with open(args.store, "w") as f:
            f.write("\n".join(table) + "\n")
    sys.exit(bool(faults))


main()
