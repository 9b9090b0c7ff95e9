#!/usr/bin/env python3
"""A class on the server that server.sh has set up: everybody logs in, opens the
comparison notebook and presses "Run all", through the hub, as a browser does.

Runs as root inside a machine that is thrown away (make classroom), on its own
loopback. Prints a table; status 1 where something that must hold does not. Times
are judged only where nothing else works on the machine.
"""
import argparse
import asyncio
import json
import os
import pwd
import re
import resource
import shutil
import statistics
import subprocess
import sys
import time
import urllib.parse
import uuid

import requests
from tornado.httpclient import HTTPRequest
from tornado.websocket import websocket_connect

HUB = "http://127.0.0.1:8000"
CERTIFICATE = None  # the file of it, where the hub is reached by https
NOTEBOOK = "notebooks/11_compare_before_after.ipynb"
TOGETHER, SLOWER = 60, 0.30  # limits: seconds for everybody, and the others beside a hog
FOUND = "/var/cache/bonnetbook"  # the clocks of the course's drives, which set-up has found
PATIENCE = 400               # seconds after which a run counts as hung

# A loop on all processors, and cells that take memory until they are stopped.
LOOP = "for range 8 { go func() { for { } }() }\nfor { }"
HOG = "var all [][]byte\nfor { b := make([]byte, 1<<20); for i := range b { b[i] = byte(i) }; all = append(all, b) }"

failures = []
said = []


def say(text):
    said.append(text)
    print(text, flush=True)


def must(holds, what):
    say("%s  %s" % ("holds" if holds else "FAILS", what))
    if not holds:
        failures.append(what)


class User:
    def __init__(self, name, password):
        self.name, self.password = name, password
        self.http = requests.Session()
        self.http.verify = CERTIFICATE or True
        self.socket = None

    def url(self, path):
        return "%s/user/%s/%s" % (HUB, self.name, path)

    def log_in(self):
        """Logs in, and waits until the own server answers."""
        r = self.http.post(HUB + "/hub/login?next=", data={"username": self.name, "password": self.password})
        r.raise_for_status()
        if "Invalid username or password" in r.text:
            raise RuntimeError(self.name + " may not log in")
        self.http.get(HUB + "/hub/spawn/" + self.name)
        end = time.monotonic() + PATIENCE
        while True:
            r = self.http.get(self.url("tree"))
            if r.ok and "/user/%s/tree" % self.name in r.url:
                return
            if time.monotonic() > end:
                raise TimeoutError("%s: no server: %s %s" % (self.name, r.status_code, r.url))
            time.sleep(0.5)

    def call(self, method, path, data=None):
        head = {"X-XSRFToken": self.cookies().get("_xsrf", ""), "Referer": self.url("tree")}
        return self.http.request(method, self.url(path), json=data, headers=head)

    def cookies(self):
        """Those that a browser would send to the own server."""
        return {c.name: c.value for c in self.http.cookies if self.url("").startswith(HUB + c.path)}

    def kernel_id(self):
        r = self.call("POST", "api/sessions", {
            "path": NOTEBOOK, "name": "", "type": "notebook", "kernel": {"name": "bonnetbook"}})
        r.raise_for_status()
        return r.json()["kernel"]["id"]

    def read(self, path=NOTEBOOK):
        return self.call("GET", "api/contents/" + urllib.parse.quote(path))

    async def start(self):
        """Starts the kernel, as opening the notebook does."""
        self.kernel = await asyncio.to_thread(self.kernel_id)
        cookies = "; ".join("%s=%s" % c for c in self.cookies().items())
        self.session = uuid.uuid4().hex
        self.socket = await websocket_connect(HTTPRequest(
            self.url("api/kernels/%s/channels?session_id=%s" % (self.kernel, self.session)).replace("http", "ws", 1),
            headers={"Cookie": cookies}, ca_certs=CERTIFICATE, request_timeout=PATIENCE, connect_timeout=PATIENCE), max_message_size=1 << 28)

    async def execute(self, *cells):
        """Sends all cells at once; returns how each ended, with the text that it wrote."""
        waiting, texts = {}, {}
        for source in cells:
            m = uuid.uuid4().hex
            waiting[m] = None
            texts[m] = ""
            await self.socket.write_message(json.dumps({
                "channel": "shell", "buffers": [], "parent_header": {}, "metadata": {},
                "header": {"msg_id": m, "msg_type": "execute_request", "session": self.session, "username": self.name,
                           "version": "5.3", "date": "2026-01-01T00:00:00Z"},
                "content": {"code": source, "silent": False, "store_history": True, "user_expressions": {},
                            "allow_stdin": False, "stop_on_error": False}}))
        open_ends = {(m, kind) for m in waiting for kind in ("execute_reply", "idle")}
        while open_ends:
            text = await asyncio.wait_for(self.socket.read_message(), PATIENCE)
            if text is None:
                raise RuntimeError(self.name + ": the kernel's socket was closed")
            m = json.loads(text)
            parent, kind, c = m["parent_header"].get("msg_id"), m["header"]["msg_type"], m["content"]
            if parent not in waiting:
                continue
            if kind == "status" and c["execution_state"] == "idle":
                open_ends.discard((parent, "idle"))
            elif kind == "execute_reply":
                open_ends.discard((parent, kind))
                if c["status"] == "error":
                    texts[parent] += c.get("ename", "") + ": " + c.get("evalue", "")
                waiting[parent] = c["status"]
            elif kind == "stream":
                texts[parent] += c["text"]
        return list(zip(waiting.values(), texts.values()))

    async def stop(self):
        """Ends the kernel."""
        if self.socket:
            self.socket.close()
            self.socket = None
            await asyncio.to_thread(self.call, "DELETE", "api/kernels/" + self.kernel)

    async def run_all(self):
        """Opens the notebook and runs all its cells; returns the seconds until the last one is done."""
        began = time.monotonic()
        nb = (await asyncio.to_thread(self.read)).json()["content"]
        code = [c for c in nb["cells"] if c["cell_type"] == "code"]
        await self.start()
        for c, (status, text) in zip(code, await self.execute(*(c["source"] for c in code))):
            if status != "ok" and "raises-exception" not in c["metadata"].get("tags", []):
                raise RuntimeError("%s: a cell failed: %s" % (self.name, text[:300]))
        return time.monotonic() - began


def others():
    """The part of all processors that others take at the moment."""
    def look():
        with open("/proc/stat") as f:
            n = [int(x) for x in f.readline().split()[1:9]]
        return n[3] + n[4], sum(n)
    (idle, total) = look()
    time.sleep(3)
    (idle2, total2) = look()
    return 1 - (idle2 - idle) / (total2 - total)


def processes(name):
    """Processes of a user: pid to words of the command line."""
    uid, found = pwd.getpwnam(name).pw_uid, {}
    for p in filter(str.isdigit, os.listdir("/proc")):
        try:
            if os.stat("/proc/" + p).st_uid == uid:
                with open("/proc/%s/cmdline" % p) as f:
                    found[int(p)] = f.read().split("\0")
        except OSError:
            pass
    return found


def of_server_and_kernel(name, read):
    """The sums of what read tells of a user's processes: those of the notebook's server, and of the kernel."""
    sums = [0, 0]
    for pid, words in processes(name).items():
        sums["bonnetbook" in words[0]] += read(pid)
    return sums


def memory(name):
    """MiB of a user's notebook server, and of the kernel: what they share with others is counted in parts."""
    def read(pid):
        with open("/proc/%d/smaps_rollup" % pid) as f:
            return int(re.search(r"^Pss:\s+(\d+)", f.read(), re.M).group(1)) / 1024
    return of_server_and_kernel(name, read)


def processor_time(name):
    """Seconds that a user's living processes have taken: the notebook's server, and the kernel."""
    def read(pid):
        with open("/proc/%d/stat" % pid) as f:
            words = f.read().rpartition(")")[2].split()
        return (int(words[11]) + int(words[12])) / os.sysconf("SC_CLK_TCK")
    return of_server_and_kernel(name, read)


async def run_together(users):
    """All run the notebook, from nothing of their own: no kernel, no clock that was found before."""
    for u in users:
        await u.stop()
        shutil.rmtree("/home/%s/.cache" % u.name, ignore_errors=True)
    return await asyncio.gather(*(u.run_all() for u in users))


async def beside(users, trouble, source, again):
    """The users run the notebook while another one runs a cell, for ever or again and again."""
    await trouble.stop()
    await trouble.start()
    how = []

    async def make_trouble():
        while True:
            how.append((await trouble.execute(source))[0])
            if not again:
                return
    task = asyncio.create_task(make_trouble())
    await asyncio.sleep(12)  # it has been at it for a while
    times = await run_together(users)
    task.cancel()
    try:
        await task
    except asyncio.CancelledError:
        pass
    await trouble.stop()
    return times, how


def reach(owner):
    """A cell that tells what it can open of a learner's, and what it tries."""
    home = "/home/%s" % owner.name
    pids = list(processes(owner.name))
    paths = [home, home + "/course", home + "/course/" + NOTEBOOK, home + "/.local/share/jupyter/runtime"]
    paths += ["/proc/%d/%s" % (p, f) for p in pids for f in ("environ", "mem", "cwd", "root", "fd")]
    cell = ('import "os"\nfor _, p := range []string{%s} {\n\tif _, err := os.Open(p); err == nil {\n\t\tprintln(p)\n\t}\n'
            '\tif _, err := os.ReadDir(p); err == nil {\n\t\tprintln(p)\n\t}\n}\nprintln("looked")' % ", ".join(map(json.dumps, paths)))
    return cell, paths


def listeners(name):
    """TCP ports on which a user's processes listen."""
    uid, ports = str(pwd.getpwnam(name).pw_uid), []
    for file in ("/proc/net/tcp", "/proc/net/tcp6"):
        if os.path.exists(file):
            with open(file) as f:
                for line in f.readlines()[1:]:
                    w = line.split()
                    if w[3] == "0A" and w[7] == uid:
                        ports.append(int(w[1].split(":")[1], 16))
    return ports


async def privacy(a, b, teacher):
    """Learner b tries to read what is a's."""
    cell, paths = reach(a)
    status, text = (await b.execute(cell))[0]
    must(status == "ok" and text.strip() == "looked",
         "a cell of one learner opens none of %d files and folders of another, nor of their processes%s" % (len(paths), "" if text.strip() == "looked" else ": " + text[:500]))
    status, text = (await a.execute(cell))[0]
    must(all(p in text for p in paths[:3]), "the same cell, run by their owner, opens them")
    for path in ("tree", "api/contents", "api/kernels", "files/" + NOTEBOOK):
        r = b.http.get(a.url(path))
        must(r.status_code in (403, 404), "%s of another through the hub: refused (%d)" % (path, r.status_code))
    ports = listeners(a.name)
    must(len(ports) == 1, "a learner's processes listen on one port alone, the notebook server's: %d" % len(ports))
    r = requests.get("http://127.0.0.1:%d/user/%s/api/contents" % (ports[0], a.name), allow_redirects=False)
    must(r.status_code in (302, 403), "straight to that port, past the hub: refused (%d)" % r.status_code)
    await asyncio.to_thread(teacher.log_in)
    r = teacher.read("learners/%s/%s" % (a.name, NOTEBOOK))
    must(r.ok and "cells" in r.json().get("content", {}), "the teacher opens a learner's notebook (%d)" % r.status_code)
    r = teacher.call("PUT", "api/contents/learners/%s/notebooks/new.txt" % a.name, {"type": "file", "format": "text", "content": "x"})
    must(not r.ok, "and can't write there (%d)" % r.status_code)
    r = a.call("PUT", "api/contents/notebooks/own.txt", {"type": "file", "format": "text", "content": "mine"})
    must(r.ok and os.stat("/home/%s/course/notebooks/own.txt" % a.name).st_mode & 0o007 == 0, "a file that a learner makes is closed to others")


async def grading(learner, server):
    """Somebody hands in a notebook with an answer, and one that looks at what it may read when graded."""
    name = "01_see_first_drive.ipynb"
    solved = learner.read("solutions/" + name).json()["content"]
    solved["cells"].append({"cell_type": "code", "id": "who", "metadata": {}, "outputs": [], "execution_count": None, "source":
                            'import "os"\nif err := os.WriteFile("/home/%s/course/graded-by", nil, 0o600); err != nil { panic(err) }' % learner.name})
    r = learner.call("PUT", "api/contents/notebooks/" + name, {"type": "notebook", "format": "json", "content": solved})
    r.raise_for_status()
    r = await asyncio.to_thread(subprocess.run, [server, "grade"], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, timeout=600)
    lines = r.stdout.splitlines()
    graded = [line for line in lines if re.search(r"\d+ of \d+ pass", line)]
    must(r.returncode == 0 and len(graded) == 1 and name in graded[0] and re.search(r"(\d+) of \1 pass", graded[0]),
         "grade: the one notebook that somebody changed, all exercises pass%s" % ("" if len(graded) == 1 else ": " + r.stdout[:300]))
    mark = "/home/%s/course/graded-by" % learner.name
    must(os.path.exists(mark) and os.stat(mark).st_uid == pwd.getpwnam(learner.name).pw_uid, "and its cells ran with that learner's rights")


class Table:
    """What the others take beside somebody's endless loop, or memory hog."""

    def __init__(self):
        self.slower = {}

    async def add(self, others, trouble):
        usual = [await run_together(others)]
        loop, _ = await beside(others, trouble, LOOP, False)
        usual.append(await run_together(others))
        hog, how = await beside(others, trouble, HOG, True)
        must(all(s == "error" and "memory" in t for s, t in how), "the memory hog was stopped each of %d times, and told why" % len(how))
        mean = [statistics.mean(t) for t in usual]
        say("%d others run the notebook: on average %s s each; beside an endless loop %.1f s, beside a memory hog %.1f s" %
              (len(others), " and ".join("%.1f" % m for m in mean), statistics.mean(loop), statistics.mean(hog)))
        for name, times in (("an endless loop", loop), ("a memory hog", hog)):
            self.slower["%d others beside %s" % (len(others), name)] = statistics.mean(times) / statistics.mean(mean) - 1


def wait_for_hub(hub):
    end = time.monotonic() + 120
    while True:
        try:
            return requests.get(HUB + "/hub/api", verify=CERTIFICATE or True).raise_for_status()
        except requests.RequestException:
            if time.monotonic() > end or hub.poll() is not None:
                raise
            time.sleep(0.5)


async def together(users, what, cores):
    """All run the notebook, and it is told how long they took; returns the seconds of the last one."""
    times = await run_together(users)
    say("%s: %.1f s until the last is done, %.1f s for the middle one" % (what, max(times), statistics.median(times)))
    taken = [processor_time(u.name) for u in users]
    say("  processor time of a user: %.1f s the notebook's server, from its start on, %.1f s the kernel; of all kernels for each processor: %.1f s" %
        (statistics.mean(s for s, _ in taken), statistics.mean(k for _, k in taken), sum(k for _, k in taken) / cores))
    return max(times)


async def lesson(users, teacher, busy, server, first_only):
    cores = len(os.sched_getaffinity(0))
    say("%d learners on %d processors; before it began others took %.0f %% of them" % (len(users), cores, 100 * busy))
    began = time.monotonic()
    await asyncio.gather(*(asyncio.to_thread(u.log_in) for u in users))
    say("all log in at once: %.1f s until each has a server" % (time.monotonic() - began))
    first = await together(users, "all open and run the comparison notebook at once", cores)
    must(not any(os.path.exists("/home/%s/.cache/bonnetbook" % u.name) for u in users),
         "nobody's kernel had to find a clock of the course's drives: set-up has")
    os.rename(FOUND, FOUND + ".away")  # from here on it is as with drives of their own
    await together(users, "the same, with all clocks to find, as of drives of their own", cores)
    sizes = [memory(u.name) for u in users]
    say("memory of a user then: %.0f MiB the notebook's server, %.0f MiB the kernel (the largest: %.0f MiB)" %
          (statistics.mean(s for s, _ in sizes), statistics.mean(k for _, k in sizes), max(k for _, k in sizes)))
    say("memory of the hub, its proxy and this test: %.0f MiB" % sum(memory("root")))
    await privacy(users[0], users[1], teacher)
    await grading(users[0], server)
    table = Table()
    if not first_only:
        await table.add(users[:-1], users[-1])
        await table.add(users[:cores], users[-1])
    for u in users:
        await u.stop()
    await asyncio.sleep(1)
    own = resource.getrusage(resource.RUSAGE_SELF)
    say("in all, this test's own work took %.0f s of processor time" % (own.ru_utime + own.ru_stime))
    busy = max(busy, others())
    judge = must
    if busy > 0.1:
        say("Times are not judged: others take %.0f %% of the machine." % (100 * busy))

        def judge(holds, what):
            say("%s  %s" % ("would hold" if holds else "would fail", what))
    judge(first <= TOGETHER, "everybody is done within %d s: %.1f s" % (TOGETHER, first))
    for name, part in table.slower.items():
        judge(part <= SLOWER, "%s: at most %.0f %% slower: %+.0f %%" % (name, 100 * SLOWER, 100 * part))


async def one_cell(learner):
    learner.log_in()
    await learner.start()
    status, text = (await learner.execute('println("by https")'))[0]
    must(status == "ok" and "by https" in text, "by https a learner logs in and runs a cell")
    await learner.stop()


def by_https(server, name, password):
    """The server once more, with a certificate that is made for the occasion."""
    global HUB, CERTIFICATE
    subprocess.run(["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-keyout", "/root/key.pem", "-out", "/root/certificate.pem",
                    "-days", "2", "-subj", "/CN=class", "-addext", "subjectAltName=IP:127.0.0.1"], check=True, stderr=subprocess.DEVNULL)
    r = subprocess.run([server, "set-up", "-certificate", "/root/certificate.pem", "-key", "/root/key.pem"],
                       stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, timeout=600)
    must(r.returncode == 0 and "https://127.0.0.1:8000" in r.stdout, "set-up with a certificate, without a network%s" % ("" if r.returncode == 0 else ": " + r.stdout[-300:]))
    HUB, CERTIFICATE = HUB.replace("http:", "https:"), "/root/certificate.pem"
    hub = start(server)
    try:
        wait_for_hub(hub)
        asyncio.run(one_cell(User(name, password)))
        try:
            requests.get(HUB.replace("https:", "http:"), timeout=20)
            must(False, "without a certificate nothing is served")
        except requests.ConnectionError:
            must(True, "without a certificate nothing is served")
    finally:
        end(hub)


def start(server):
    with open("/root/hub.log", "a") as log:
        return subprocess.Popen([server, "start"], stdout=log, stderr=subprocess.STDOUT)


def end(hub):
    hub.terminate()
    try:
        hub.wait(30)
    except subprocess.TimeoutExpired:
        hub.kill()


def main():
    opt = argparse.ArgumentParser()
    opt.add_argument("--server", default="/usr/local/sbin/bonnetbook-server")
    opt.add_argument("--accounts", default="/root/bonnetbook-accounts.txt")
    opt.add_argument("--learners", type=int, default=20)
    opt.add_argument("--first", action="store_true", help="without loops and memory hogs")
    opt = opt.parse_args()
    with open(opt.accounts) as f:
        users = [User(*line.split()) for line in f]
    teacher = next(u for u in users if u.name == "teacher")
    users = [u for u in users if u.name != "teacher"][:opt.learners]
    busy = others()
    hub = start(opt.server)
    try:
        wait_for_hub(hub)
        asyncio.run(lesson(users, teacher, busy, opt.server, opt.first))
        must(hub.poll() is None, "the hub still serves")
        end(hub)
        by_https(opt.server, users[0].name, users[0].password)
    finally:
        with open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "classroom.txt"), "w") as f:
            f.write("# make classroom STORE=1, %s\n" % time.strftime("%Y-%m-%d"))
            f.writelines(line + "\n" for line in said)
        end(hub)
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
