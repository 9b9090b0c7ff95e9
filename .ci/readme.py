#!/usr/bin/env python3
"""Does what the README says, in a fresh clone of HEAD, and looks at what came
out. Every command in the README, in a code block or between backticks, is
proved here by a test that names it (@proves); one that nobody proves fails.

Needs git, make, Go and Python 3; what else the commands need, they bring.
"""
import base64
import glob
import hashlib
import html.parser
import http.client
import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import unittest

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
MODULE = "github.com/bonnetbook/bonnetbook"

# ---- what the README names ---------------------------------------------------

PROVED = {}


def proves(*commands):
    """Marks a test as the proof of commands, written as the README has them."""
    def mark(test):
        for c in commands:
            PROVED[c] = test.__name__
        return test
    return mark


# Words between backticks that are no command and no path: programs and values
# that the text around them explains.
WORDS = {"python3"}


GO_BLOCK = re.compile(r"^```go\n(.*?)^```$", re.M | re.S)


def programs(readme):
    """Lists the blocks of Go as whole programs."""
    all = []
    for body in GO_BLOCK.findall(readme):
        used = sorted(set(re.findall(r"\b([a-z]+)\.[A-Z]", body)))
        paths = [n if n in ("fmt", "log") else MODULE + "/pkg/" + n for n in used]
        all.append("package main\n\nimport (\n%s)\n\nfunc main() {\n%s}\n" % ("".join('\t"%s"\n' % p for p in paths), body))
    return all


def named(readme):
    """Lists the lines of code blocks, without their comments, and the spans
    between backticks elsewhere. Blocks of Go are left to programs."""
    lines, text = [], []
    fenced = False
    for line in re.sub(GO_BLOCK, "", readme).splitlines():
        if line.startswith("```"):
            fenced = not fenced
        elif fenced or line.startswith("    "):
            command = re.sub(r"(^|\s)#.*", "", line).strip()
            if command:
                lines.append(command)
        else:
            text.append(line)
    spans = [" ".join(s.split()) for s in re.findall(r"`([^`]+)`", "\n".join(text))]
    return lines, spans


def unproved(readme, clone):
    """Lists what the README names and nobody proves. A span may also be a
    package of the library or a path in the clone."""
    lines, spans = named(readme)
    missing = [c for c in lines if c not in PROVED]
    for s in spans:
        package = re.fullmatch(r"[a-z]+", s) and os.path.isdir(os.path.join(clone, "pkg", s))
        path = "/" in s and os.path.exists(os.path.join(clone, s))
        if s not in PROVED and s not in WORDS and not package and not path:
            missing.append(s)
    return missing


# ---- the clone and what runs in it -------------------------------------------


def setUpModule():
    global WORK, CLONE, HOME, ENV
    WORK = tempfile.mkdtemp(prefix="bonnetbook-readme-")
    unittest.addModuleCleanup(shutil.rmtree, WORK, True)
    CLONE, HOME = os.path.join(WORK, "bonnetbook"), os.path.join(WORK, "home")
    os.mkdir(HOME)
    if subprocess.run(["git", "status", "--porcelain"], cwd=ROOT, capture_output=True, text=True).stdout:
        print("note: HEAD is tried; what is not committed is not", file=sys.stderr)
    subprocess.run(["git", "clone", "-q", ROOT, CLONE], check=True)
    # A home of its own, so that nothing of the user's is seen or touched; Go
    # keeps its caches.
    ENV = {k: v for k, v in os.environ.items()
           if not k.startswith(("JUPYTER", "JPY_", "XDG_", "BONNETBOOK", "VIRTUAL_ENV", "CONDA"))}
    go = json.loads(subprocess.run(["go", "env", "-json", "GOCACHE", "GOMODCACHE", "GOPATH", "GOHOSTOS", "GOHOSTARCH"],
                                   check=True, capture_output=True, text=True, cwd=ROOT).stdout)
    ENV.update(GOCACHE=go["GOCACHE"], GOMODCACHE=go["GOMODCACHE"], GOPATH=go["GOPATH"], HOME=HOME)
    global HOST
    HOST = (go["GOHOSTOS"], go["GOHOSTARCH"])


def fresh():
    """Takes out of the clone whatever earlier commands left."""
    subprocess.run(["git", "clean", "-fdxq"], cwd=CLONE, check=True)
    left = [d for d in ("bin", "build", "dist") if os.path.exists(os.path.join(CLONE, d))]
    assert not left, left


def run(*args, cwd=None, status=0, **env):
    """Runs a command and returns what it said; any other status is an error."""
    p = subprocess.run(args, cwd=cwd or CLONE, env={**ENV, **env}, stdout=subprocess.PIPE,
                       stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL, text=True, timeout=1500)
    if p.returncode != status:
        raise AssertionError("%s ended with status %d, want %d:\n%s" % (" ".join(args), p.returncode, status, p.stdout))
    return p.stdout


def read(*path):
    with open(os.path.join(*path), encoding="utf-8") as f:
        return f.read()


def notebooks():
    return sorted(glob.glob(os.path.join(CLONE, "notebooks", "*.ipynb")))


class Page(html.parser.HTMLParser):
    """Counts what a page shows."""

    def __init__(self, path):
        super().__init__()
        self.title, self.links, self.pictures, self.errors, self.requests = "", [], [], 0, []
        self.inside, self.policy, self.scripts, self.drawings, self.lines = None, "", [], [], 0
        self.feed(read(path))
        # The one script of the live pictures, if the page's own policy names it.
        for text in self.scripts:
            digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
            if f"'sha256-{digest}'" not in self.policy:
                self.requests.append(("script", text[:60]))

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        self.inside = tag
        if tag == "a":
            self.links.append(attrs.get("href"))
        if tag == "img":
            self.pictures.append(attrs["src"])
        if tag == "svg" and attrs.get("role") == "img":
            self.drawings.append(attrs.get("aria-label"))
        if tag in ("path", "polyline", "line"):
            self.lines += 1
        if tag == "pre" and "error" in attrs.get("class", "").split():
            self.errors += 1
        if tag == "meta" and attrs.get("http-equiv", "").lower() == "content-security-policy":
            self.policy = attrs["content"]
        if tag == "script" and not attrs:
            self.scripts.append("")
        elif tag in ("script", "link", "iframe") or not attrs.get("src", "data:").startswith("data:"):
            self.requests.append((tag, attrs))

    def handle_endtag(self, tag):
        self.inside = None

    def handle_data(self, data):
        if self.inside == "title":
            self.title += data
        if self.inside == "script" and self.scripts:
            self.scripts[-1] += data


class Named(unittest.TestCase):
    """What the README names, and who proves it."""

    def test_every_command_is_proved(self):
        self.assertEqual(unproved(read(CLONE, "README.md"), CLONE), [], "named by the README and proved by no test here")

    def test_every_proof_is_named(self):
        lines, spans = named(read(CLONE, "README.md"))
        self.assertEqual(sorted(set(PROVED) - set(lines) - set(spans)), [], "proved here and no longer named by the README")

    def test_commands_are_found(self):
        readme = ("# T\n\n    make notebook    # sets up\n                     # and opens\n    make moon\n\n"
                  "```sh\ngo get mars\n```\nText `make\nvenus` and `air` and `notebooks/` and `pkg/nothing` and `--jupiter`.\n")
        self.assertEqual(unproved(readme, CLONE), ["make moon", "go get mars", "make venus", "pkg/nothing", "--jupiter"])

    @proves("make test")
    def test_make_test_is_run_by_ci(self):
        """It is long and runs once, in .ci/run itself."""
        self.assertIn("make test", read(CLONE, ".ci", "run").splitlines())


class Targets(unittest.TestCase):
    """The Makefile's targets, each without what another one built."""

    def setUp(self):
        fresh()

    @proves("make build", "bin/bonnetbook account testdata/demo/open-1-logger-a.csv", "bin/bonnetbook draft testdata/demo",
            "bin/bonnetbook look testdata/demo -drive \"open filters, first run\"", "bin/bonnetbook verdict testdata/demo -o verdict.html",
            "draft", "verdict", "-answer configuration=1-3=open,4-7=duct", "-answer configuration=1,3,5-7=open,2,4=duct", "-save", "campaign.toml")
    def test_answers_of_the_demo(self):
        run("make", "build")
        program = os.path.join(CLONE, "bin", "bonnetbook")
        self.assertIn("readings", run(program, "account", "testdata/demo/open-1-logger-a.csv"))
        self.assertIn("Nothing is left open", run(program, "draft", "testdata/demo"))
        self.assertIn("thermostat: opened", run(program, "look", "testdata/demo", "-drive", "open filters, first run"))
        self.assertIn("cooler", run(program, "verdict", "testdata/demo", "-o", "verdict.html"))
        page = Page(os.path.join(CLONE, "verdict.html"))
        self.assertEqual(page.requests, [])
        self.assertIn("cold-air duct", page.title)
        with tempfile.TemporaryDirectory() as mine:
            for path in glob.glob(os.path.join(CLONE, "testdata", "demo", "*")):
                if not path.endswith(".toml"):
                    shutil.copy(path, mine)
            self.assertNotIn("Which configuration", run(program, "draft", mine, "-answer", "configuration=1,3,5-6=open,2,4=duct"))
            run(program, "draft", mine, "-answer", "configuration=1-3=open,4-6=duct", "-save")
            self.assertIn('configuration = "duct"', read(mine, "campaign.toml"))
            json.loads(subprocess.run([program, "draft", "-json", mine], check=True, capture_output=True, text=True).stdout)

    @proves("BONNETBOOK_CACHE", "off")
    def test_cache(self):
        run("make", "build")
        program = os.path.join(CLONE, "bin", "bonnetbook")
        with tempfile.TemporaryDirectory() as cache:
            files = lambda: [f for _, _, names in os.walk(cache) for f in names]
            look = lambda where: run(program, "look", "-json", "testdata/demo", "-drive", "open filters, first run",
                                     BONNETBOOK_CACHE=where, XDG_CACHE_HOME=cache)
            first = look("off")
            self.assertEqual(files(), [])
            self.assertEqual(look(cache), first)
            self.assertTrue(files())
            self.assertEqual(look(cache), first)

    @proves("make help")
    def test_make_help(self):
        listed = dict(line.split(None, 1) for line in run("make", "help").splitlines())
        targets = re.search(r"^\.PHONY: (.*)", read(CLONE, "Makefile"), re.M).group(1).split()
        self.assertEqual(sorted(listed), sorted(targets))
        for text in listed.values():
            self.assertGreater(len(text), 10)

    @proves("make report", "build/report/", "build/report/index.html")
    def test_make_report(self):
        run("make", "report")
        folder = os.path.join(CLONE, "build", "report")
        pages = [os.path.basename(n).replace(".ipynb", ".html") for n in notebooks()]
        self.assertGreaterEqual(len(pages), 12)
        self.assertEqual(sorted(os.listdir(folder)), sorted(pages + ["index.html"]))
        index = read(folder, "index.html")
        self.assertEqual(Page(os.path.join(folder, "index.html")).links, pages)
        for path, name in zip(notebooks(), pages):
            with self.subTest(page=name):
                cells = json.loads(read(path))["cells"]
                first = "".join(cells[0]["source"])
                title, question = re.match(r"# (.*)\n+\*\*(.*)\*\*", first).groups()
                plain = html.unescape(re.sub(r"<[^>]*>", "", index))
                self.assertIn(title + question, plain)
                page = Page(os.path.join(folder, name))
                self.assertEqual(page.title, title)
                self.assertEqual(page.requests, [])
                self.assertGreater(len(page.pictures) + len(page.drawings), 0)
                self.assertTrue(all(page.drawings), "each drawing says what it shows")
                self.assertGreaterEqual(page.lines, len(page.drawings))
                for src in page.pictures:
                    kind, data = src.removeprefix("data:").split(";base64,")
                    self.assertEqual((kind, base64.b64decode(data)[:8]), ("image/png", b"\x89PNG\r\n\x1a\n"))
                meant = [c for c in cells if "raises-exception" in c["metadata"].get("tags", [])]
                self.assertEqual(page.errors, len(meant), "cells that failed, and cells that are meant to")

    @proves("make notebook")
    def test_make_notebook(self):
        with socket.socket() as s:
            s.bind(("127.0.0.1", 0))
            port = s.getsockname()[1]
        token = base64.b16encode(os.urandom(16)).decode()
        log = os.path.join(WORK, "notebook.log")
        flags = "--no-browser --ip=127.0.0.1 --port=%d --port-retries=0 --NotebookApp.token=%s" % (port, token)
        with open(log, "w") as said:
            # A session of its own, so that all of it can be stopped.
            server = subprocess.Popen(["make", "notebook", "NOTEBOOK_FLAGS=" + flags], cwd=CLONE, env=ENV,
                                      stdout=said, stderr=said, stdin=subprocess.DEVNULL, start_new_session=True)

        def stop():
            if server.poll() is None:
                os.killpg(server.pid, signal.SIGTERM)
                server.wait(60)
        self.addCleanup(stop)

        def ask(path, method="GET", body=None, known=True):
            c = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
            c.request(method, path, body, {"Authorization": "token " + token} if known else {})
            r = c.getresponse()
            data = r.read()
            c.close()
            return r.status, data

        end = time.time() + 1200
        while True:
            self.assertIsNone(server.poll(), "make notebook ended:\n" + read(log))
            try:
                if ask("/api")[0] == 200:
                    break
            except OSError:
                self.assertLess(time.time(), end, "nothing answers:\n" + read(log))
            time.sleep(0.3)

        def doc(path, **kind):
            status, data = ask(path, **kind)
            self.assertIn(status, (200, 201), (path, data[:300]))
            return json.loads(data)

        self.assertEqual(ask("/api/contents", known=False)[0], 403)
        # The first notebook, ready to be opened.
        self.assertEqual(doc("/api/contents/01_see_first_drive.ipynb?content=0")["type"], "notebook")
        status, page = ask("/notebooks/01_see_first_drive.ipynb")
        self.assertEqual(status, 200)
        self.assertIn(b"01_see_first_drive.ipynb", page)
        # The kernel, with the program just built.
        spec = doc("/api/kernelspecs")["kernelspecs"]["bonnetbook"]
        self.assertEqual(spec["spec"]["argv"][0], os.path.join(CLONE, "bin", "bonnetbook"))
        self.assertEqual(ask(spec["resources"]["logo-64x64"])[1][:4], b"\x89PNG")
        # The sliders' front end.
        self.assertIs(doc("/api/config/notebook")["load_extensions"]["jupyter-js-widgets/extension"], True)
        status, script = ask("/nbextensions/jupyter-js-widgets/extension.js")
        self.assertEqual(status, 200)
        self.assertIn(b"IntSlider", script)
        # It answers a cell, beside a notebook.
        kernel = doc("/api/kernels", method="POST", body=json.dumps({"name": "bonnetbook"}))["id"]
        connection = os.path.join(HOME, ".local", "share", "jupyter", "runtime", "kernel-%s.json" % kernel)
        said = run("/usr/bin/python3", "-c", CELL, connection)
        self.assertEqual(said, "42\n")
        stop()
        with self.assertRaises(OSError):
            ask("/api")

    @proves("make dist", "make dist SYSTEMS=linux/amd64")
    def test_make_dist(self):
        """This machine's program alone: the six of them take minutes, by the
        same rule."""
        system = "/".join(HOST)
        run("make", "dist", "SYSTEMS=" + system)
        program = "bonnetbook-%s-%s" % HOST
        self.assertEqual(sorted(os.listdir(os.path.join(CLONE, "dist"))), ["SHA256SUMS", program, "bonnetbook.cdx.json"])
        with open(os.path.join(CLONE, "dist", program), "rb") as f:
            self.assertIn(hashlib.sha256(f.read()).hexdigest() + "  " + program, read(CLONE, "dist", "SHA256SUMS"))
        self.assertEqual(json.loads(read(CLONE, "dist", "bonnetbook.cdx.json"))["bomFormat"], "CycloneDX")
        rule = run("make", "-n", "dist")
        for other in ("linux/amd64", "linux/arm64", "darwin/amd64", "darwin/arm64", "windows/amd64", "windows/arm64"):
            self.assertIn(other, rule)
        self.assertTrue(run("make", "-n", "dist", "SYSTEMS=linux/amd64"))
        Released.program = os.path.join(WORK, "my programs", "bonnetbook")
        os.makedirs(os.path.dirname(Released.program), exist_ok=True)
        shutil.move(os.path.join(CLONE, "dist", "bonnetbook-%s-%s" % HOST), Released.program)


CELL = """
import sys
from jupyter_client import BlockingKernelClient
c = BlockingKernelClient(connection_file=sys.argv[1])
c.load_connection_file()
c.start_channels()
c.wait_for_ready(timeout=60)
def show(m):
    if m["msg_type"] == "execute_result":
        print(m["content"]["data"]["text/plain"])
c.execute_interactive("6 * 7", timeout=60, output_hook=show)
c.stop_channels()
"""


class Released(unittest.TestCase):
    """The program of make dist, in an empty home, without Go on the PATH."""

    program = None

    def setUp(self):
        if not Released.program:
            Targets("test_make_dist").debug()
        self.home = tempfile.mkdtemp(dir=WORK)
        path = [d for d in ENV["PATH"].split(os.pathsep) if not os.path.exists(os.path.join(d, "go"))]
        self.env = {"HOME": self.home, "PATH": os.pathsep.join(path)}
        self.assertIsNone(shutil.which("go", path=self.env["PATH"]))

    def bonnetbook(self, *args, status=0, **env):
        return run(self.program, *args, cwd=self.home, status=status, **{**self.env, **env})

    def registered(self, *flags, data, **env):
        """Registers below a data folder, looks, takes it back, looks."""
        folder = os.path.join(data, "kernels", "bonnetbook")
        self.assertIn(folder, self.bonnetbook("install", *flags, **env))
        spec = json.loads(read(folder, "kernel.json"))
        self.assertEqual(spec["argv"], [self.program, "kernel", "{connection_file}"])
        yield
        self.bonnetbook("remove", *flags, **env)
        self.assertFalse(os.path.exists(folder))
        self.assertIn("nothing to remove", self.bonnetbook("remove", *flags, status=1, **env))

    @proves("bonnetbook install", "bonnetbook check", "install", "remove")
    def test_for_you_alone(self):
        self.assertIn("MISSING kernel in Jupyter", self.bonnetbook("check", status=1))
        for _ in self.registered(data=os.path.join(self.home, ".local", "share", "jupyter")):
            said = self.bonnetbook("check")
            self.assertIn("ok      kernel in Jupyter", said)
            self.assertIn("Next: ", said)
        self.bonnetbook("check", status=1)

    @proves("--prefix DIR", "--dir DIR")
    def test_a_place_named(self):
        place = os.path.join(self.home, "a place")
        for _ in self.registered("--prefix", place, data=os.path.join(place, "share", "jupyter")):
            pass
        for _ in self.registered("--dir", place, data=place):
            # What it did not write it leaves alone.
            with open(os.path.join(place, "kernels", "bonnetbook", "note.txt"), "w") as f:
                f.write("mine")
            self.assertIn("note.txt", self.bonnetbook("remove", "--dir", place, status=1))
            self.assertIn("move it away", self.bonnetbook("install", "--dir", place, status=1))
            os.remove(os.path.join(place, "kernels", "bonnetbook", "note.txt"))
            self.bonnetbook("install", "--dir", place)

    @proves("install --sys-prefix")
    def test_python_environment(self):
        env = os.path.join(self.home, "environment")
        run(sys.executable, "-m", "venv", "--without-pip", env)
        for _ in self.registered("--sys-prefix", data=os.path.join(env, "share", "jupyter"), VIRTUAL_ENV=env):
            self.assertIn("ok      kernel in Jupyter", self.bonnetbook("check", VIRTUAL_ENV=env))

    @proves("bonnetbook course DIR", "START_HERE.md")
    def test_course(self):
        """Into a folder with a space and other letters; the first notebook finds
        its logs from there, and nothing is replaced."""
        folder = os.path.join(self.home, "Mein Kurs für größere Autos")
        self.assertIn("START_HERE.md", self.bonnetbook("course", folder))
        self.assertIn("bonnetbook install", read(folder, "START_HERE.md"))
        first = os.path.join(folder, "notebooks", "01_see_first_drive.ipynb")
        self.bonnetbook("run", "-q", "-o", os.path.join(self.home, "ran.ipynb"), first)
        with open(first, "a") as f:
            f.write("\n")
        self.assertIn(first, self.bonnetbook("course", folder, status=1))

    @proves("bonnetbook grade NOTEBOOK...")
    def test_grade(self):
        """A solution passes, the learner's copy does not."""
        folder = os.path.join(self.home, "course")
        self.bonnetbook("course", folder)
        said = self.bonnetbook("grade", os.path.join(folder, "solutions", "02_read_files.ipynb"),
                               os.path.join(folder, "notebooks", "02_read_files.ipynb"))
        self.assertIn("3 of 3 pass", said)
        self.assertIn("0 of 3 pass", said)

    def execute(self, *cells, status=0, **env):
        """Runs cells without Jupyter and returns the notebook and what was
        said."""
        path = os.path.join(self.home, "cells.ipynb")
        with open(path, "w") as f:
            json.dump({"nbformat": 4, "nbformat_minor": 5, "metadata": {}, "cells": [
                {"cell_type": "code", "id": "c%d" % i, "metadata": {}, "outputs": [], "execution_count": None, "source": c}
                for i, c in enumerate(cells)]}, f)
        said = self.bonnetbook("run", "-q", "-keep-going", path, status=status, **env)
        return json.loads(read(self.home, "cells.executed.ipynb"))["cells"], said

    def test_a_notebook_without_go(self):
        cells, _ = self.execute('import "%s/pkg/air"\nimport "%s/pkg/quantity"' % (MODULE, MODULE),
                                "rho, err := air.DryDensity(101325, quantity.Celsius(15))\nfloat64(int(float64(rho)*1e4+.5))")
        self.assertEqual(cells[1]["outputs"][0]["data"]["text/plain"], ["12250"])

    @proves("bonnetbook licences", "-full", "-json")
    def test_licences(self):
        self.assertRegex(self.bonnetbook("licences"), r"gonum\.org/v1/plot +v\S+ +.*BSD-3-Clause")
        self.assertIn("SIL OPEN FONT LICENSE", self.bonnetbook("licences", "-full"))
        bill = json.loads(self.bonnetbook("licences", "-json"))
        self.assertIn("gonum.org/v1/plot", [c["name"] for c in bill["components"]])

    @proves("BONNETBOOK_MEMORY", "2GB")
    def test_memory(self):
        """A cell that takes 1.5 GB passes below the limit, fails above it, and
        what was stored stays."""
        take = "taken := make([]byte, 1500<<20)\nfor i := 0; i < len(taken); i += 4096 {\n\ttaken[i] = 1\n}\nlen(taken) >> 20"
        cells, _ = self.execute("kept := 42", take, "kept", BONNETBOOK_MEMORY="2GB")
        self.assertEqual([c["outputs"][0]["data"]["text/plain"] for c in cells[1:]], [["1500"], ["42"]])
        cells, said = self.execute("kept := 42", take, "kept", status=1, BONNETBOOK_MEMORY="1GB")
        self.assertEqual(cells[1]["outputs"][0]["output_type"], "error", cells[1])
        self.assertIn("memory", said)
        self.assertEqual(cells[2]["outputs"][0]["data"]["text/plain"], ["42"])

    @proves("use bonnetbook")
    def test_use(self):
        """The line opens the library, by the names of its packages and without a name for Must."""
        cells, _ = self.execute("use bonnetbook", "Must(air.Density(1013*quantity.Hectopascal, quantity.Celsius(20), 0))")
        self.assertRegex("".join(cells[1]["outputs"][0]["data"]["text/plain"]), r"^1\.20")

    @proves("list variables", "list running", "stop running")
    def test_lists(self):
        """A variable and a goroutine that stays are listed; stopped, it is gone."""
        cells, _ = self.execute('import "time"', "kept := 42", "go func() { for { time.Sleep(time.Millisecond) } }()",
                                "list variables", "list running", "stop running", "list running")
        shown = ["".join("".join(o.get("text", o.get("data", {}).get("text/plain", ""))) for o in c["outputs"]) for c in cells]
        self.assertRegex(shown[3], r"kept\s+int")
        self.assertRegex(shown[4], "goroutine")
        self.assertNotEqual(shown[4], shown[6])
        self.assertNotIn("cell 3", shown[6])


class Imports(unittest.TestCase):
    """Packages that the kernel does not have, with Go at hand."""

    def setUp(self):
        self.home = tempfile.mkdtemp(dir=WORK)
        if not os.path.exists(os.path.join(CLONE, "bin", "bonnetbook")):
            run("make", "build")

    def bonnetbook(self, *args, status=0):
        return run(os.path.join(CLONE, "bin", "bonnetbook"), *args, cwd=self.home, status=status, JUPYTER_DATA_DIR=os.path.join(self.home, "jupyter"))

    def execute(self, source, kernel="bonnetbook", status=0):
        """Runs one cell; returns its text outputs and what was said."""
        with open(os.path.join(self.home, "cell.ipynb"), "w") as f:
            json.dump({"nbformat": 4, "nbformat_minor": 5, "metadata": {"kernelspec": {"name": kernel, "display_name": kernel, "language": "go"}}, "cells": [
                {"cell_type": "code", "id": "c", "metadata": {}, "outputs": [], "execution_count": None, "source": source}]}, f)
        said = self.bonnetbook("run", "-q", "cell.ipynb", status=status)
        outputs = json.loads(read(self.home, "cell.executed.ipynb"))["cells"][0]["outputs"]
        return "".join("".join(o.get("text", o.get("data", {}).get("text/plain", ""))) for o in outputs), said

    @proves("go.mod", "vendor", "go get github.com/google/uuid")
    def test_go_get(self):
        cell = 'go get github.com/google/uuid\nimport "github.com/google/uuid"\nuuid.MustParse("F47AC10B-58CC-0372-8567-0E02B2C3D479").String()'
        _, said = self.execute(cell, status=1)
        self.assertIn("go mod init", said)
        self.assertFalse(os.path.exists(os.path.join(self.home, "go.mod")))
        run("go", "mod", "init", "example.org/notebooks", cwd=self.home)
        text, _ = self.execute(cell)
        self.assertIn("f47ac10b-58cc-0372-8567-0e02b2c3d479", text)
        self.assertIn("github.com/google/uuid", read(self.home, "go.mod"))
        # The line taken out, from the module cache and from vendor.
        cell = cell.split("\n", 1)[1]
        self.assertIn("f47ac10b", self.execute(cell)[0])
        with open(os.path.join(self.home, "use.go"), "w") as f:
            f.write('package notebooks\n\nimport _ "github.com/google/uuid"\n')
        run("go", "mod", "vendor", cwd=self.home)
        self.assertIn("f47ac10b", self.execute(cell)[0])

    @proves("bonnetbook build-kernel github.com/klauspost/compress/zstd", "bonnetbook remove bonnetbook-zstd", "-source DIR", "run", "report", "program")
    def test_build_kernel(self):
        cell = ('import ("bytes"; "github.com/klauspost/compress/zstd")\nw, err := zstd.NewWriter(nil)\n'
                'packed := w.EncodeAll(bytes.Repeat([]byte("abc"), 10000), nil)\nr, err := zstd.NewReader(nil)\n'
                'back, err := r.DecodeAll(packed, nil)\nlen(packed) < 100 && len(back) == 30000')
        self.execute(cell, "bonnetbook-zstd", status=1)
        self.bonnetbook("build-kernel", "-source", CLONE, "github.com/klauspost/compress/zstd")
        self.assertIn("Go (Bonnetbook with zstd)", self.bonnetbook("list"))
        self.assertEqual(self.execute(cell, "bonnetbook-zstd")[0], "true")
        self.assertIn("zstd.NewWriter", self.bonnetbook("program", "cell.ipynb"))
        self.bonnetbook("report", "-q", "cell.ipynb")
        self.assertIn(">true<", read(self.home, "cell.html"))
        self.assertEqual(run("git", "status", "--porcelain"), "")
        self.bonnetbook("remove", "bonnetbook-zstd")
        self.execute(cell, "bonnetbook-zstd", status=1)


class Library(unittest.TestCase):
    """A module of somebody else's, beside the clone."""

    def test_programs(self):
        """Each program of the README, in the demo's folder."""
        own = os.path.join(WORK, "readme programs")
        os.mkdir(own)
        run("go", "mod", "init", "example.org/readme", cwd=own)
        run("go", "mod", "edit", "-require=%s@v0.0.0" % MODULE, "-replace=%s=%s" % (MODULE, CLONE), cwd=own)
        found = programs(read(CLONE, "README.md"))
        self.assertGreater(len(found), 0)
        for i, text in enumerate(found):
            os.mkdir(os.path.join(own, str(i)))
            with open(os.path.join(own, str(i), "main.go"), "w") as f:
                f.write(text)
        run("go", "mod", "tidy", cwd=own)
        for i, text in enumerate(found):
            program = os.path.join(own, "program%d" % i)
            run("go", "build", "-o", program, "./%d" % i, cwd=own)
            said = run(program, cwd=os.path.join(CLONE, "testdata", "demo"))
            if "verdict.Open" in text:
                # The demo's duct is made to cool: testdata/demo.
                self.assertRegex(said, r'"open filters" against "cold-air duct"')
                self.assertRegex(said, r"(?m)^full throttle .* K .* cooler *$")

    @proves("go mod edit -require=%s@v0.0.0 -replace=%s=../bonnetbook" % (MODULE, MODULE), "go mod tidy")
    def test_consumer(self):
        fresh()
        own = os.path.join(WORK, "consumer")
        os.mkdir(own)
        packages = sorted({os.path.relpath(os.path.dirname(f), CLONE) for f in
                           glob.glob(os.path.join(CLONE, "pkg", "*", "*.go")) if not f.endswith("_test.go")})
        self.assertGreater(len(packages), 20)
        with open(os.path.join(own, "main.go"), "w") as f:
            f.write(CONSUMER % "\n".join('\t_ "%s/%s"' % (MODULE, p) for p in packages))
        run("go", "mod", "init", "example.org/consumer", cwd=own)
        run("go", "mod", "edit", "-require=%s@v0.0.0" % MODULE, "-replace=%s=../bonnetbook" % MODULE, cwd=own)
        run("go", "mod", "tidy", cwd=own)
        # ISO 2533:1975: 1.225 kg/m³ at sea level, 15 °C.
        self.assertEqual(run("go", "run", ".", cwd=own), "1.2250 kg/m³\n")


CONSUMER = """package main

import (
	"fmt"
	"log"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
%s
)

func main() {
	rho, err := air.DryDensity(101325, quantity.Celsius(15))
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%%.4f kg/m³\\n", float64(rho))
}
"""

if __name__ == "__main__":
    unittest.main(verbosity=2)
