#!/usr/bin/env python3
"""Does every exercise as a learner does, in the classic notebook and (where
`make lab` has built it) in JupyterLab, in a headless Chromium: the stub is
checked, then each wrong answer that is listed, then the solution, each typed into
the cell that is there.

BONNETBOOK_NOTEBOOKS names the folder of notebooks, BONNETBOOK_ONLY the beginning
of one of them. Pictures of each exercise go to the folder BONNETBOOK_PICTURES, if
set: what the stub, the first wrong answer and the solution are told.
"""
import glob
import json
import os
import re
import shutil
import unittest

import chromium
import classic
import jupyterlab
import kernelhome
from jupyterlab import CODE, KERNEL, PANEL

HOME = kernelhome.setup()
NOTEBOOKS = sorted(glob.glob(os.path.join(os.environ.get("BONNETBOOK_NOTEBOOKS", os.path.join(kernelhome.ROOT, "notebooks")),
                                          os.environ.get("BONNETBOOK_ONLY", "") + "*.ipynb")))


def exercises(path):
    """The exercises of a notebook: number of the stub among its cells, and among those of code; id; stub; what is listed."""
    with open(path) as f:
        cells = json.load(f)["cells"]
    code = -1
    for i, c in enumerate(cells):
        code += c["cell_type"] == "code"
        e = c["metadata"].get("bonnetbook", {}).get("exercise")
        if e:
            yield i, code, e, "".join(c["source"])


class Exercises:
    """What both front ends have to show; they say how a cell is run and read."""

    def test_exercises(self):
        shutil.copytree(os.path.join(kernelhome.ROOT, "testdata"), os.path.join(self.dir, "testdata"), dirs_exist_ok=True)
        os.makedirs(os.path.join(self.dir, "notebooks"), exist_ok=True)
        for path in NOTEBOOKS:
            if ".executed." in path:
                continue
            name = os.path.basename(path)
            shutil.copy(path, os.path.join(self.dir, "notebooks", name))
            with self.subTest(notebook=name):
                page = self.open("notebooks/" + name)
                try:
                    page.run_all()
                    for at in exercises(path):
                        with self.subTest(exercise=at[2]["id"]):
                            self.one(page, *at)
                finally:
                    page.close()

    def one(self, page, cell, code, e, stub):
        told = {}

        def answer(kind, source, picture=False):
            self.answer(page, cell, code, source)
            text, wrong = self.told(page, cell + 1, code + 1)
            text = re.sub(r"^\s*(Out)?\[\d+\]:\s*", "", text)
            self.assertFalse(wrong, "%s: an error instead of a judgement: %s" % (kind, text))
            self.assertNotIn(text, told, "%s is told the same as %s: %s" % (kind, told.get(text), text))
            told[text] = kind
            if picture and os.environ.get("BONNETBOOK_PICTURES"):
                self.keep(page, cell, code, "%s-%s-%s" % (self.front, e["id"], kind))
            return text

        self.assertIn("○", answer("1 stub", stub, True))  # its first hint was told when all cells ran
        for n, (mistake, source) in enumerate(sorted(e["wrong"].items())):
            text = answer("2 wrong" if n == 0 else mistake, source, n == 0)
            self.assertIn("✗ Not yet.", text, mistake)
        self.assertIn("✓ Right.", answer("3 solution", e["solution"], True))

    def shot(self, page, top, bottom, name):
        """A picture of what lies between the upper edge of one element and the lower edge of another."""
        box = page.js("(() => { const t = %s, b = %s; t.scrollIntoView(); const r = t.getBoundingClientRect(), s = b.getBoundingClientRect();"
                      " return [r.left, r.top, r.width, s.bottom - r.top]; })()" % (top, bottom))
        clip = dict(x=box[0], y=box[1], width=box[2], height=min(box[3] + 8, 1300), scale=1)
        page.picture(os.path.join(os.environ["BONNETBOOK_PICTURES"], name.replace(" ", "-") + ".png"), clip=clip)


@unittest.skipIf(chromium.find() is None, "no chromium; on Debian: apt-get install chromium")
class Classic(Exercises, unittest.TestCase):
    front = "classic"

    @classmethod
    def setUpClass(cls):
        cls.dir = os.path.join(HOME, "classic")
        cls.server = classic.Server(cls.dir)

    @classmethod
    def tearDownClass(cls):
        cls.server.close()

    def open(self, name):
        return classic.Notebook(self.server, name)

    def answer(self, page, cell, code, source):
        page.js("Jupyter.notebook.get_cell(%d).set_text(%s); [%d, %d].forEach(i => Jupyter.notebook.get_cell(i).execute()); 1"
                % (cell, json.dumps(source), cell, cell + 1))
        page.wait("[%d, %d].every(i => !isNaN(parseInt(Jupyter.notebook.get_cell(i).input_prompt_number))) && "
                  "Jupyter.notebook.get_cell(%d).output_area.outputs.length > 0" % (cell, cell + 1, cell + 1), 300)

    def told(self, page, cell, code):
        return (page.js("Jupyter.notebook.get_cell(%d).output_area.element[0].innerText" % cell),
                page.js("Jupyter.notebook.get_cell(%d).output_area.outputs.some(o => o.output_type == 'error')" % cell))

    def keep(self, page, cell, code, name):
        page.js("Jupyter.notebook.select(%d); 1" % (cell + 1))
        at = "Jupyter.notebook.get_cell(%d).element[0]"
        self.shot(page, at % (cell - 1), at % (cell + 1), name)


@unittest.skipIf(jupyterlab.missing(), jupyterlab.missing())
class Lab(Exercises, unittest.TestCase):
    front = "lab"

    @classmethod
    def setUpClass(cls):
        cls.dir = os.path.join(HOME, "lab")
        cls.server = jupyterlab.Server(cls.dir, os.path.join(HOME, "lab state"))

    @classmethod
    def tearDownClass(cls):
        cls.server.close()

    def open(self, name):
        return jupyterlab.Notebook(self.server, name)

    def answer(self, page, cell, code, source):
        page.js("(%s)[%d].model.sharedModel.setSource(%s); 1" % (CODE, code, json.dumps(source)))
        for i in (cell, cell + 1):
            page.js("(%s).content.activeCellIndex = %d; (%s).content.activeCell.model.executionCount = null; "
                    "lab.commands.execute('notebook:run-cell').then(() => 1)" % (PANEL, i, PANEL))
        page.wait("[%d, %d].every(i => (%s)[i].model.executionCount > 0) && (%s)[%d].model.outputs.length > 0 && %s.status == 'idle'"
                  % (code, code + 1, CODE, CODE, code + 1, KERNEL), 300)

    def told(self, page, cell, code):
        return (page.text(code),
                page.js("(m => { for (let k = 0; k < m.length; k++) if (m.get(k).type == 'error') return true; return false; })((%s)[%d].model.outputs)" % (CODE, code)))

    def keep(self, page, cell, code, name):
        at = "(%s).content.widgets[%%d].node" % PANEL
        self.shot(page, at % (cell - 1), at % (cell + 1), name)


if __name__ == "__main__":
    unittest.main(verbosity=2)
