#!/usr/bin/env python3
"""Follows the recipes of DEVELOPERS.md, each in a scratch copy of HEAD.

    .ci/recipes.py              all of them
    .ci/recipes.py quantity     those whose heading contains the word

The section "Recipes" has a heading (###) for each. These forms are acted on,
in their order; everything else is prose:

    New file `PATH`:                        the block below is the file
    In `PATH`, below `TEXT`:                the block goes below the line with TEXT
    In `PATH`, above `TEXT`:                the block goes above it
    Run:                                    the block's lines are commands that succeed
    A cell then shows `TEXT`:               the block is a cell; TEXT is in what it shows
    So far, `COMMAND` fails and names `TEXT`     at this point of the recipe
    Without it, `COMMAND` fails and names `TEXT` with all done but the step above
"""
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
import time

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
RECIPES = "DEVELOPERS.md"
# Followed elsewhere, by the target of the Makefile that the recipe names.
ELSEWHERE = {"A Go release": "make releases"}

TICKED = r"`([^`]+)`"
FORMS = [(kind, re.compile(pattern + r"\s*$", re.S)) for kind, pattern in [
    ("file", r".*?New file " + TICKED + ":"),
    ("below", r".*?In " + TICKED + r", below " + TICKED + ":"),
    ("above", r".*?In " + TICKED + r", above " + TICKED + ":"),
    ("run", r".*?Run:"),
    ("cell", r".*?A cell then shows " + TICKED + ":"),
]]
FAILS = re.compile(r"(So far|Without it), " + TICKED + r" fails and names " + TICKED)


class Broken(Exception):
    """What is said of a step does not hold."""


def recipes(text):
    """Returns the recipes by their headings, each a list of (form, words, block)."""
    section = text.split("\n## Recipes\n", 1)[1].split("\n## ", 1)[0]
    found = {}
    for part in section.split("\n### ")[1:]:
        heading, body = part.split("\n", 1)
        # Prose and blocks by turns.
        pieces = re.split(r"^```(\w*)\n(.*?)^```$", body, flags=re.S | re.M)
        steps = []
        for i in range(0, len(pieces), 3):
            prose = " ".join(pieces[i].split())
            fails = [(m[1], (m[2], m[3]), None) for m in FAILS.finditer(prose)]
            if len(fails) != prose.count("fails and names"):
                raise Broken(f"{heading}: what fails is not said in one of the forms:\n{prose}")
            steps += fails
            if i + 2 < len(pieces):
                for kind, form in FORMS:
                    if m := form.match(prose):
                        steps.append((kind, m.groups(), pieces[i + 2]))
                        break
                else:
                    raise Broken(f"{heading}: nothing says what this block is for:\n{pieces[i + 2]}")
        found[heading] = steps
    return found


class Copy:
    """A clone of HEAD in which one recipe after another is followed."""

    def __init__(self, folder):
        self.folder = folder
        subprocess.run(["git", "clone", "-q", "--no-hardlinks", ROOT, folder], check=True)
        self.env = dict(os.environ, GOFLAGS="-trimpath")  # so that copies share the build cache

    def path(self, name):
        return os.path.join(self.folder, name)

    def read(self, name):
        with open(self.path(name), encoding="utf-8") as f:
            return f.read()

    def write(self, name, text):
        os.makedirs(os.path.dirname(self.path(name)), exist_ok=True)
        with open(self.path(name), "w", encoding="utf-8") as f:
            f.write(text)

    def clean(self):
        for command in ("git reset -q --hard", "git clean -q -f -d -x"):
            subprocess.run(shlex.split(command), cwd=self.folder, check=True)

    def run(self, command):
        """Returns a command's status and what it said."""
        done = subprocess.run(command, shell=True, cwd=self.folder, env=self.env, text=True,
                              stdout=subprocess.PIPE, stderr=subprocess.STDOUT, errors="replace", timeout=600)
        return done.returncode, done.stdout

    def succeeds(self, command):
        status, said = self.run(command)
        if status != 0:
            raise Broken(f"{command}\nfailed:\n{said}")
        return said

    def fails(self, command, word):
        status, said = self.run(command)
        if status == 0:
            raise Broken(f"{command}\nshould fail and name {word}, but succeeds:\n{said}")
        if word not in said:
            raise Broken(f"{command}\nfails, but does not name {word}:\n{said}")

    def insert(self, name, anchor, block, below):
        lines = self.read(name).splitlines(keepends=True)
        places = [i for i, line in enumerate(lines) if anchor in line]
        if name == RECIPES:  # the recipe itself holds the text, too
            places = places[:1]
        if len(places) != 1:
            raise Broken(f"{name} has {len(places)} lines with {anchor!r}, want one")
        at = places[0] + (1 if below else 0)
        self.write(name, "".join(lines[:at]) + block + "".join(lines[at:]))

    def cell(self, source, word):
        """Runs a cell without Jupyter and looks for a word in what it shows."""
        meta = {"kernelspec": {"display_name": "Go (Bonnetbook)", "language": "go", "name": "bonnetbook"}}
        cell = {"cell_type": "code", "id": "c1", "metadata": {}, "execution_count": None, "outputs": [], "source": source}
        self.write("build/recipe.ipynb", json.dumps({"cells": [cell], "metadata": meta, "nbformat": 4, "nbformat_minor": 5}))
        self.succeeds("bin/bonnetbook run -o build/recipe.out.ipynb build/recipe.ipynb")
        outputs = json.loads(self.read("build/recipe.out.ipynb"))["cells"][0]["outputs"]
        shown = json.dumps(outputs, ensure_ascii=False)
        if word not in shown:
            raise Broken(f"a cell should show {word!r}; it shows {shown[:2000]}")

    def follow(self, steps):
        before = None  # the files without the last step, for what fails without it
        without = []
        for kind, words, block in steps:
            if kind == "file":
                if os.path.exists(self.path(words[0])):
                    raise Broken(f"{words[0]} is there already")
                self.write(words[0], block)
            elif kind in ("below", "above"):
                self.insert(words[0], words[1], block, kind == "below")
                before = (words[0], block)
            elif kind == "So far":
                self.fails(*words)
            elif kind == "Without it":
                without.append((before, words))
            elif kind == "run":
                self.formatted()
                for line in block.splitlines():
                    self.succeeds(line)
            elif kind == "cell":
                self.cell(block, words[0])
        for (name, block), words in without:
            whole = self.read(name)
            if whole.count(block) != (2 if name == RECIPES else 1):
                raise Broken(f"{name} no longer holds the step once:\n{block}")
            self.write(name, whole.replace(block, "", 1))
            self.fails(*words)
            self.write(name, whole)

    def formatted(self):
        said = self.succeeds("gofmt -l pkg kernelsetup notebooks testdata")
        if said.strip():
            raise Broken(f"not formatted:\n{said}" + self.run("gofmt -d " + " ".join(said.split()))[1])


def main(words):
    with open(os.path.join(ROOT, RECIPES), encoding="utf-8") as f:
        try:
            all_recipes = recipes("\n" + f.read())
        except Broken as e:
            sys.exit(str(e))
    failed = []
    folder = tempfile.mkdtemp(prefix="recipes")
    try:
        copy = Copy(os.path.join(folder, "copy"))
        for heading, steps in all_recipes.items():
            if words and not any(w in heading for w in words):
                continue
            if heading in ELSEWHERE:
                print(f"{heading}: {ELSEWHERE[heading]}")
                continue
            started = time.monotonic()
            try:
                if not any(kind in ("run", "cell") for kind, _, _ in steps):
                    raise Broken("nothing is run")
                copy.clean()
                copy.follow(steps)
                print(f"{heading}: {len(steps)} steps hold, {time.monotonic() - started:.0f} s", flush=True)
            except (Broken, OSError, subprocess.SubprocessError) as e:
                failed.append(heading)
                print(f"{heading}: FAILED\n{e}", flush=True)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    for heading in ELSEWHERE:
        if heading not in all_recipes:
            failed.append(heading)
            print(f"{heading}: is no recipe any more; take it off ELSEWHERE")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main(sys.argv[1:])
