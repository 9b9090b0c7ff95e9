#!/usr/bin/env python3
"""Measures this kernel beside ipykernel, and beside compiled Go, in one run.

    python3 kernelsetup/bench/speed.py [--program PATH] [--json FILE] [--quick]

Needs jupyter_client and ipykernel (Debian: python3-jupyter-client
python3-ipykernel), and Go for the compiled column and to build the kernel
where --program is not given. Kernels run one after another, on loopback.
"""
import argparse
import json
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

from jupyter_client.manager import start_new_kernel

from kernel import answers, install

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))

# Each task is the same work in both languages; its cell ends with a result
# that is compared, so that nothing can be left out.
TASKS = {
    "10 million loop turns": (
        "func() int { s := 0; for i := 0; i < 10_000_000; i++ { s += i & 7 }; return s }()",
        "def work():\n    s = 0\n    for i in range(10_000_000):\n        s += i & 7\n    return s\nwork()",
    ),
    "fib(30)": (
        "func fib(n int) int { if n < 2 { return n }; return fib(n-1) + fib(n-2) }\nfib(30)",
        "def fib(n):\n    return n if n < 2 else fib(n-1) + fib(n-2)\nfib(30)",
    ),
    "sort a million floats with a closure": (
        "import \"sort\"\nfunc() int { x := make([]float64, 1_000_000); u := uint32(1)\n"
        "for i := range x { u = u*1664525 + 1013904223; x[i] = float64(u) }\n"
        "sort.Slice(x, func(i, j int) bool { return x[i] < x[j] }); return int(x[0]) }()",
        "import functools\ndef work():\n    x = []; u = 1\n    for i in range(1_000_000):\n"
        "        u = (u*1664525 + 1013904223) & 0xffffffff; x.append(float(u))\n"
        "    x.sort(key=functools.cmp_to_key(lambda a, b: -1 if a < b else (1 if a > b else 0)))\n"
        "    return int(x[0])\nwork()",
    ),
    "a million method calls": (
        "type Counter struct{ n int }\nfunc (c *Counter) Add(k int) { c.n += k }\n"
        "func() int { c := &Counter{}; for i := range 1_000_000 { c.Add(i) }; return c.n }()",
        "class Counter:\n    def __init__(self):\n        self.n = 0\n    def add(self, k):\n        self.n += k\n"
        "def work():\n    c = Counter()\n    for i in range(1_000_000):\n        c.add(i)\n    return c.n\nwork()",
    ),
}


class Kernel:
    def __init__(self, name):
        started = time.perf_counter()
        self.km, self.kc = start_new_kernel(kernel_name=name)
        self.ready = time.perf_counter() - started
        self.run("1+1")
        self.first = time.perf_counter() - started

    def run(self, code, timeout=120):
        """Returns the text shown and the seconds taken."""
        started = time.perf_counter()
        text, streams, lines = None, 0, []
        for kind, content in answers(self.kc, self.kc.execute(code), timeout):
            if kind == "execute_result":
                text = content["data"]["text/plain"]
            elif kind == "stream":
                streams += 1
                lines.append(content["text"])
            elif kind == "error":
                raise SystemExit("cell failed: %s\n%s" % (code, "\n".join(content["traceback"])))
        self.streams, self.printed = streams, "".join(lines)
        return text, time.perf_counter() - started

    def memory(self):
        """Returns resident MB of the kernel's process, or None."""
        try:
            with open("/proc/%d/status" % self.km.provisioner.process.pid) as f:
                return int(re.search(r"VmRSS:\s+(\d+)", f.read()).group(1)) / 1024
        except (OSError, AttributeError):
            return None

    def close(self):
        self.kc.stop_channels()
        self.km.shutdown_kernel()


def start_times(argv, n):
    """Seconds from starting the process to its first reply and first executed
    cell, without the client library's own waiting: plain sockets."""
    import hashlib
    import hmac
    import socket
    import zmq
    ready, first = [], []
    for _ in range(n):
        socks = [socket.socket() for _ in range(5)]
        for s in socks:
            s.bind(("127.0.0.1", 0))
        ports = [s.getsockname()[1] for s in socks]
        for s in socks:
            s.close()
        con = dict(zip(["shell_port", "iopub_port", "stdin_port", "control_port", "hb_port"], ports),
                   transport="tcp", ip="127.0.0.1", key="k", signature_scheme="hmac-sha256")
        path = os.path.join(tempfile.mkdtemp(), "c.json")
        with open(path, "w") as f:
            json.dump(con, f)
        ctx = zmq.Context()
        shell, iopub = ctx.socket(zmq.DEALER), ctx.socket(zmq.SUB)
        iopub.setsockopt(zmq.SUBSCRIBE, b"")
        started = time.perf_counter()
        p = subprocess.Popen([a.replace("{connection_file}", path) for a in argv],
                             stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        for s, port in ((iopub, ports[1]), (shell, ports[0])):
            s.setsockopt(zmq.RECONNECT_IVL, 2)
            s.setsockopt(zmq.LINGER, 0)
            s.setsockopt(zmq.RCVTIMEO, 20000)
            s.connect("tcp://127.0.0.1:%d" % port)

        def ask(kind, content):
            h = json.dumps(dict(msg_id=kind, session="s", username="u", date="2026-01-01T00:00:00Z",
                                msg_type=kind, version="5.3")).encode()
            c = json.dumps(content).encode()
            sig = hmac.new(b"k", b"".join([h, b"{}", b"{}", c]), hashlib.sha256).hexdigest().encode()
            shell.send_multipart([b"<IDS|MSG>", sig, h, b"{}", b"{}", c])
            return shell.recv_multipart()
        ask("kernel_info_request", {})
        ready.append(time.perf_counter() - started)
        ask("execute_request", dict(code="1+1", silent=False, store_history=True, allow_stdin=False))
        first.append(time.perf_counter() - started)
        p.terminate()
        p.wait()
        shell.close()
        iopub.close()
        ctx.term()
    return statistics.median(ready), statistics.median(first)


def compiled(go):
    """Runs the tasks as one compiled program that times itself."""
    if not go:
        return {}
    parts = ["package main\nimport (\n\"fmt\"\n\"sort\"\n\"time\"\n)\nvar _ = sort.Slice\n"]
    body = []
    for name, (code, _) in TASKS.items():
        lines = [l for l in code.split("\n") if not l.startswith("import ")]
        text = "\n".join(lines)
        if name.startswith("10") or name.startswith("sort"):
            expr = text
        else:
            cut = text.rindex("\nfunc() int" if "\nfunc() int" in text else "\n")
            parts.append(text[:cut] + "\n")
            expr = text[cut + 1:]
        body.append("{ t := time.Now(); r := %s; fmt.Printf(\"%%q %%d %%d\\n\", %s, r, time.Since(t).Nanoseconds()) }\n"
                    % (expr, json.dumps(name)))
    parts.append("func main() {\n" + "".join(body) + "}\n")
    with tempfile.TemporaryDirectory() as d:
        src = os.path.join(d, "main.go")
        with open(src, "w") as f:
            f.write("".join(parts))
        exe = os.path.join(d, "tasks")
        subprocess.run([go, "build", "-o", exe, src], check=True)
        out = subprocess.run([exe], check=True, capture_output=True, text=True).stdout
    times = {}
    for line in out.splitlines():
        name, result, ns = re.match(r'"(.*)" (-?\d+) (\d+)', line).groups()
        times[name] = (result, int(ns) / 1e9)
    return times


def main():
    args = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    args.add_argument("--program", help="the kernel's program; default: built from this repository")
    args.add_argument("--json", help="also write the figures to this file")
    args.add_argument("--quick", action="store_true", help="fewer repetitions")
    args = args.parse_args()
    go = shutil.which("go")
    work = tempfile.mkdtemp(prefix="kernel bench ")
    program = args.program and os.path.abspath(args.program)
    if not program:
        if not go:
            sys.exit("no Go on the PATH to build the kernel; give --program")
        program = os.path.join(work, "bonnetbook")
        subprocess.run([go, "build", "-o", program, "./kernelsetup"], check=True, cwd=ROOT)
    install(program, work)
    n, reps = (100, 1) if args.quick else (500, 3)

    rows = {}
    starts = {
        "bonnetbook": [program, "kernel", "{connection_file}"],
        "python3": [sys.executable, "-m", "ipykernel_launcher", "-f", "{connection_file}"],
    }
    results = {}
    for which, name in ((0, "bonnetbook"), (1, "python3")):
        ready, first = start_times(starts[name], 2 * reps + 1)
        rows.setdefault("start to first reply, ms", {})[name] = 1e3 * ready
        rows.setdefault("start to first executed cell, ms", {})[name] = 1e3 * first
        k = Kernel(name)
        rows.setdefault("memory after first cell, MB", {})[name] = k.memory()
        trips = sorted(k.run("1+1")[1] for _ in range(n))
        rows.setdefault("execute round trip, median, ms", {})[name] = 1e3 * trips[n // 2]
        rows.setdefault("execute round trip, 95 %, ms", {})[name] = 1e3 * trips[int(n * 0.95)]
        if name == "bonnetbook":
            k.run('import "fmt"')
            lines = "for i := range 100_000 { fmt.Println(i) }"
        else:
            lines = "for i in range(100_000):\n    print(i)"
        took = min(k.run(lines)[1] for _ in range(reps))
        if k.printed != "".join("%d\n" % i for i in range(100_000)):
            sys.exit("%s lost printed lines" % name)
        rows.setdefault("100,000 printed lines, s", {})[name] = took
        rows.setdefault("messages for these", {})[name] = k.streams
        for task, codes in TASKS.items():
            runs = [k.run(codes[which]) for _ in range(reps)]
            rows.setdefault(task + ", s", {})[name] = min(t for _, t in runs)
            results.setdefault(task, {})[name] = runs[0][0]
        k.close()
    for task, (result, took) in compiled(go).items():
        rows[task + ", s"]["compiled"] = took
        results[task]["compiled"] = result
    for task, r in results.items():
        if len(set(r.values())) != 1:
            sys.exit("%s gives different results: %s" % (task, r))

    print("%-46s %12s %12s %12s %8s" % ("", "bonnetbook", "ipykernel", "compiled Go", "ratio"))
    for label, r in rows.items():
        ours, theirs, native = r.get("bonnetbook"), r.get("python3"), r.get("compiled")
        show = lambda x: "" if x is None else "%.4g" % x
        ratio = "%.2f" % (ours / theirs) if ours and theirs else ""
        print("%-46s %12s %12s %12s %8s" % (label, show(ours), show(theirs), show(native), ratio))
    if args.json:
        with open(args.json, "w") as f:
            json.dump(rows, f, indent=1)
    shutil.rmtree(work, ignore_errors=True)


main()
