#!/usr/bin/env python3
"""The course from one file, on a machine with Jupyter and a browser but neither
Go nor a network, as a user without rights, below a folder whose name has spaces
and letters beyond ASCII.

Runs as that user inside a machine that is thrown away (make one-file); the
argument is the program. Status 1 where something does not hold.
"""
import glob
import json
import os
import shutil
import subprocess
import sys
import time
import urllib.parse
import urllib.request

import chromium  # of kernelsetup/frontends

FOLDER = os.path.expanduser("~/Mein Kurs für Öl & Wasser, Teil 1 – Größe №2")
PORT = 8899
failures = []


def must(holds, what):
    print("%s  %s" % ("holds" if holds else "FAILS", what), flush=True)
    if not holds:
        failures.append(what)


def run(*words, cwd=None):
    r = subprocess.run(words, cwd=cwd, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, timeout=600)
    return r.returncode, r.stdout


def commands(program, course):
    """The program by itself, as START_HERE.md and the guide have it."""
    must(os.getuid() != 0, "an ordinary user")
    must(shutil.which("go") is None, "no Go on this machine")
    status, text = run("getent", "hosts", "example.org")  # RFC 2606: it is always there
    must(status != 0, "no network")
    status, text = run(program, "check")
    must(status == 1 and "Next:" in text, "check says what to do before the kernel is registered")
    for again in (False, True):
        status, text = run(program, "course", course)
        must(status == 0 and ("already" in text) == again, "course" + (" once more: all is there" if again else ""))
    mine = os.path.join(course, "notebooks", "01_see_first_drive.ipynb")
    with open(mine, "a") as f:
        f.write("\n")
    before = open(mine).read()
    status, text = run(program, "course", course)
    must(status == 1 and mine in text and open(mine).read() == before, "course over a notebook that was worked on: refused, and named")
    for again in (False, True):
        status, text = run(program, "install")
        must(status == 0, "install" + (" once more" if again else ""))
    status, text = run(program, "check")
    must(status == 0, "check: nothing that is needed is missing")
    for pack, word in (("barn", "reads colder"), ("mill", ""), ("quay", "")):
        status, text = run(program, "verdict", "testdata/packs/" + pack, cwd=course)
        must(status == 0 and word in text, "verdict on the pack " + pack)
    status, text = run(program, "grade", *sorted(glob.glob(course + "/solutions/0[12]*.ipynb")))
    must(status == 0 and "passes" in text, "grade on two notebooks with solutions")
    status, text = run(program, "report", "-o", "Seiten zum Drücken", "notebooks/01_see_first_drive.ipynb", cwd=course)
    must(status == 0 and glob.glob(course + "/Seiten zum Drücken*"), "report into a folder of such a name")


def notebooks(course):
    """The evening's three notebooks and one with a slider, in the notebook's own page."""
    server = subprocess.Popen(["jupyter", "notebook", "--no-browser", "--ip=127.0.0.1", "--port=%d" % PORT, "--port-retries=0",
                               "--NotebookApp.token="], cwd=course, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        end = time.time() + 120
        while True:
            try:
                urllib.request.urlopen("http://127.0.0.1:%d/api" % PORT).read()
                break
            except OSError:
                if time.time() > end:
                    raise
                time.sleep(0.2)
        for name in ("01_see_first_drive", "11_compare_before_after", "12_measure_own_car", "10_design_duct"):
            notebook(course, name)
    finally:
        server.terminate()
        server.wait()


def notebook(course, name):
    path = "notebooks/%s.ipynb" % name
    with open(os.path.join(course, path)) as f:
        code = [c for c in json.load(f)["cells"] if c["cell_type"] == "code"]
    meant = [c for c in code if "raises-exception" in c["metadata"].get("tags", [])]
    page = chromium.Page("http://127.0.0.1:%d/notebooks/%s" % (PORT, urllib.parse.quote(path)))
    try:
        page.wait("window.Jupyter && Jupyter.notebook && Jupyter.notebook.kernel && "
                  "Jupyter.notebook.kernel.is_connected() && Jupyter.notebook._fully_loaded", 180)
        page.js("Jupyter.notebook.execute_all_cells(); 1")
        page.wait("Jupyter.notebook.get_cells().filter(c => c.cell_type == 'code')"
                  ".every(c => !isNaN(parseInt(c.input_prompt_number)))", 300)
        time.sleep(0.5)
        wrong = page.js("document.querySelectorAll('.output_error').length")
        pictures = page.js("document.querySelectorAll('.output_png img, .output_html svg').length")
        must(wrong == len(meant) and pictures > 0, "%s runs in the browser: %d cells, %d pictures, %d errors (%d on purpose)" %
             (name, len(code), pictures, wrong, len(meant)))
        if name == "10_design_duct":
            page.wait("document.querySelectorAll('.ui-slider-handle').length > 0")
            seen = "[...document.querySelectorAll('.output img, .output svg')].map(i => i.src || i.outerHTML).join()"
            before = page.js("window.was = %s; window.was.length" % seen)
            page.js("document.querySelector('.ui-slider-handle').focus(); 1")
            page.key("ArrowRight", 39)
            page.wait("window.was != " + seen, 120)
            must(before > 0, "its slider is alive: a step to the right shows another picture")
        if name == "12_measure_own_car":
            must(page.js("document.querySelectorAll('.widget-area select, .widget-area input, .widget-subarea select, .widget-subarea input').length") > 0,
                 "its questions are controls")
    finally:
        page.close()


def main():
    os.makedirs(FOLDER)
    program = shutil.copy(sys.argv[1], os.path.join(FOLDER, "das Programm – bonnetbook"))
    course = os.path.join(FOLDER, "der Kurs")
    commands(program, course)
    notebooks(course)
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
