#!/usr/bin/env python3
"""Runs notebooks in JupyterLab, as npm brings it, in a headless Chromium, and
looks at their pictures and controls. `make lab` builds it first.

BONNETBOOK_NOTEBOOKS names a folder of notebooks that are run to their end and
whose pictures are read; pictures of the pages go to the folder
BONNETBOOK_PICTURES, if set; BONNETBOOK_LAB_RESULT names a file for the table of
what was found.
"""
import base64
import glob
import io
import json
import os
import re
import shutil
import time
import unittest
import xml.etree.ElementTree as ElementTree

import nbformat

import chromium
import jupyterlab
import kernelhome
from jupyterlab import CODE, KERNEL
from pictures_test import TEXTS, colour, contrast, plain

HOME = kernelhome.setup()
IMPORT = 'import . "github.com/bonnetbook/bonnetbook/pkg/notebook"\n'

# The outputs with a picture of ours: which cell, what the kernel sent.
SENT = """(%s).flatMap((c, i) => { const m = c.model.outputs, out = [];
  for (let k = 0; k < m.length; k++) {
    const d = m.get(k).data || {};
    if (String(d['text/html'] || '').includes('class="bb-holder"')) out.push({cell: i, html: String(d['text/html']), text: String(d['text/plain'] || '')});
  }
  return out; })""" % CODE
FAILED = "c => { for (let k = 0; k < c.model.outputs.length; k++) if (c.model.outputs.get(k).type == 'error') return true; return false; }"
HOLDERS = "[...document.querySelectorAll('.jp-CodeCell .jp-RenderedHTMLCommon .bb-holder')]"


def words_of(sent):
    """The texts of a drawing as the kernel sent it, and the names of its legend."""
    drawn = []
    for code in re.findall(r'src="data:image/svg\+xml;base64,([^"]+)"', sent["html"]):
        drawn += [plain(e.text or "") for e in ElementTree.fromstring(base64.b64decode(code)).iter() if e.tag.endswith("}text")]
    # "[chart] title: name, name" is made from the figure, not from the drawing.
    first = sent["text"].split("\n")[0]
    names = [n for n in first.rsplit(": ", 1)[-1].split(", ") if n] if ": " in first else []
    return drawn, [plain(n) for n in names]


@unittest.skipIf(jupyterlab.missing(), jupyterlab.missing())
class Lab(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.dir = os.path.join(HOME, "note books")
        cls.server = jupyterlab.Server(cls.dir, os.path.join(HOME, "lab state"))
        os.symlink(os.path.join(kernelhome.ROOT, "testdata"), os.path.join(HOME, "testdata"))
        cls.found = []

    @classmethod
    def tearDownClass(cls):
        cls.server.close()
        if os.environ.get("BONNETBOOK_LAB_RESULT") and cls.found:
            with open(os.environ["BONNETBOOK_LAB_RESULT"], "w") as f:
                f.write("\n".join(cls.found) + "\n")

    def open(self, name, **more):
        page = jupyterlab.Notebook(self.server, name, **more)
        self.addCleanup(page.close)
        return page

    def write(self, name, *cells):
        nbformat.write(kernelhome.notebook(*cells), os.path.join(self.dir, name))

    def keep(self, page, name):
        if os.environ.get("BONNETBOOK_PICTURES"):
            page.picture(os.path.join(os.environ["BONNETBOOK_PICTURES"], "lab-" + name + ".png"))

    # Pictures

    def shot(self, page, box):
        from PIL import Image
        data = page.command("Page.captureScreenshot", format="png",
                            clip={"x": box["x"], "y": box["y"], "width": box["w"], "height": box["h"], "scale": 1})["data"]
        return Image.open(io.BytesIO(base64.b64decode(data))).convert("RGB")

    def at_rest(self, page, holder):
        """Where a picture is, once it stays there: cells around it get their sizes as they come into view."""
        box = None
        for _ in range(200):
            last, box = box, page.js(
                "new Promise(r => requestAnimationFrame(() => requestAnimationFrame(() => { const h = %s; let b = h.getBoundingClientRect();"
                "if (b.top < 60 || b.bottom > innerHeight) h.scrollIntoView({block: 'center'});"
                "b = h.getBoundingClientRect(); r({x: b.x, y: b.y, w: b.width, h: b.height}); })))" % holder)
            if box == last:
                return box
            time.sleep(0.1)
        self.fail("the page does not come to rest")

    def drawn(self, page, k):
        """The texts of the k-th picture that leave ink, its lines, and its ground."""
        from PIL import ImageChops
        holder = "%s[%d]" % (HOLDERS, k)
        page.js("%s.scrollIntoView({block: 'start'}); 1" % holder)
        page.wait("(h => h.querySelector('svg.bb') && h.getBoundingClientRect().height > 50)(%s)" % holder)
        box = self.at_rest(page, holder)
        texts = page.js(TEXTS.replace("document.querySelectorAll('svg text')", "%s.querySelectorAll('svg.bb text')" % holder))
        with_text = self.shot(page, box)
        page.js("var hide = document.createElement('style'); hide.textContent = 'svg text{visibility:hidden!important}'; document.head.appendChild(hide); 1")
        without = self.shot(page, box)
        page.js("hide.remove(); 1")
        shown = []
        for t in texts:
            x, y = t["x"] - box["x"], t["y"] - box["y"]
            area = (max(0, int(x)), max(0, int(y)), min(with_text.width, int(x + t["w"]) + 1), min(with_text.height, int(y + t["h"]) + 1))
            if area[0] < area[2] and area[1] < area[3] and ImageChops.difference(with_text.crop(area), without.crop(area)).getbbox():
                shown.append(t)
        lines = page.js("[...%s.querySelectorAll('svg.bb path[data-name]')].filter(p => p.checkVisibility() && getComputedStyle(p).stroke != 'none')"
                        ".map(p => ({name: p.dataset.name, stroke: getComputedStyle(p).stroke}))" % holder)
        return shown, lines, without.getpixel((2, 2))

    def lost(self, sent, shown):
        """What the kernel sent and the page does not show."""
        drawn, names = words_of(sent)
        left = [plain(t["text"]) for t in shown]
        joined = " ".join(left)
        gone = [n for n in names if n not in joined]
        for w in drawn:
            if w in left:
                left.remove(w)
            elif w:
                gone.append(w)
        return gone

    @unittest.skipUnless(os.environ.get("BONNETBOOK_NOTEBOOKS"), "no folder of notebooks named")
    def test_notebooks(self):
        page = None
        for path in sorted(glob.glob(os.path.join(os.environ["BONNETBOOK_NOTEBOOKS"], "*.ipynb"))):
            name = os.path.basename(path)
            with self.subTest(notebook=name):
                shutil.copy(path, self.dir)
                code = [c for c in nbformat.read(path, 4).cells if c.cell_type == "code"]
                meant = [c for c in code if "raises-exception" in c.metadata.get("tags", [])]
                if page is None:
                    page = self.open(name)
                else:
                    page.go(name)
                page.run_all()
                self.assertEqual(page.js("(%s).filter(%s).length" % (CODE, FAILED)), len(meant))
                self.assertEqual(page.js("(%s).filter(c => c.model.executionCount > 0).length" % CODE), len(code))
                self.look(page, name.removesuffix(".ipynb"))
                page.js(KERNEL + ".shutdown().then(() => 1)")

    def look(self, page, name):
        """Reads all pictures of a notebook, light and dark."""
        sent = page.js(SENT)
        page.wait("%s.length == %d" % (HOLDERS, len(sent)))
        self.assertLessEqual(max([len(s["html"]) for s in sent] + [0]), 80000)
        words, least = 0, {}
        for dark in (False, True):
            page.theme(dark)
            for k, s in enumerate(sent):
                with self.subTest(notebook=name, picture=k, dark=dark):
                    shown, lines, ground = self.drawn(page, k)
                    self.assertEqual(self.lost(s, shown), [])
                    self.assertEqual(max(ground) < 60, dark, "ground %s" % (ground,))
                    marks = [(t["text"], t["fill"]) for t in shown] + [(c["name"], c["stroke"]) for c in lines]
                    for what, ink in marks:
                        c = contrast(colour(ink), ground)
                        least[dark] = min(c, least.get(dark, 99))
                        self.assertGreaterEqual(c, 3, "%s %s on %s" % (what, ink, ground))
                    words += len(shown)
                    self.keep(page, "%s-%d%s" % (name, k, "-dark" if dark else ""))
        self.found.append("%-26s %2d pictures, %4d words in both themes, contrast at least %s" % (
            name, len(sent), words, " and ".join("%.1f" % v for v in least.values()) or "-"))

    def test_a_lost_legend_entry_is_noticed(self):
        shutil.copy(os.path.join(kernelhome.ROOT, "notebooks", "01_see_first_drive.ipynb"), os.path.join(self.dir, "legend.ipynb"))
        page = self.open("legend.ipynb")
        page.run_all()
        page.theme(False)
        sent = page.js(SENT)
        k = next(k for k, s in enumerate(sent) if "full throttle" in words_of(s)[0])
        self.assertEqual(self.lost(sent[k], self.drawn(page, k)[0]), [])
        page.js("[...%s[%d].querySelectorAll('.bb-wide text')].find(t => t.textContent == 'full throttle').remove(); 1" % (HOLDERS, k))
        self.assertIn("full throttle", self.lost(sent[k], self.drawn(page, k)[0]))

    # Controls

    def square(self, page, n):
        page.wait("[...(%s)[1].outputArea.node.querySelectorAll('td')].some(t => t.textContent == '%d')" % (CODE, n * n))

    def channels(self, page):
        return page.js(KERNEL + ".requestCommInfo({target_name: 'jupyter.widget'}).then(m => Object.keys(m.content.comms).length)")

    def test_controls(self):
        stop = os.path.join(HOME, "stop")
        name = "stop-and-go below a speed of so many km/h"
        self.write("controls.ipynb", IMPORT + 'import ("os"; "time")',
                   'gap := Must(Slider("%s", 0, 100, 1, 10))\nwarm := Checkbox("3 min after the thermostat opened", false)\n'
                   'Interact(func() any { return Table([]struct{ Square float64; Warm bool }{{gap.Value() * gap.Value(), warm.Value()}}) }, gap, warm)' % name,
                   'for {\n\tif _, err := os.Stat(%s); err == nil {\n\t\tbreak\n\t}\n\ttime.Sleep(10*time.Millisecond)\n}' % json.dumps(stop))
        open(stop, "w").close()
        page = self.open("controls.ipynb")
        page.theme(False)
        page.run_all()
        page.wait("document.querySelectorAll('.noUi-handle').length == 1 && document.querySelectorAll('.widget-checkbox input').length == 1")
        names = "[...document.querySelectorAll('.widget-label, .widget-html-content')].filter(l => l.textContent.trim())"
        self.assertEqual(page.js(names + ".map(l => l.textContent)")[0], name)
        self.assertEqual(page.js(names + ".filter(l => l.scrollWidth > l.clientWidth + 1).map(l => l.textContent)"), [])
        plain_values = "[...document.querySelectorAll('.bb-plain')].filter(e => e.checkVisibility()).map(e => e.textContent)"
        self.assertEqual(page.js(plain_values), [])
        for n in range(11, 61):
            page.press_right(0)
            self.square(page, n)
        # While a cell runs the page says that the change waits.
        os.remove(stop)
        page.js("(p => { p.content.activeCellIndex = 2; lab.commands.execute('notebook:run-cell'); })(%s); 1" % jupyterlab.PANEL)
        page.wait(KERNEL + ".status == 'busy'")
        page.press_right(0)
        waits = names + "[0].textContent.includes('waits for the cell that runs')"
        page.wait(waits)
        self.keep(page, "waits")
        self.assertIn("3600", page.text(1))
        open(stop, "w").close()
        self.square(page, 61)
        page.wait("!(%s)" % waits)
        # Cells that run again leave nothing behind.
        before = self.channels(page)
        for _ in range(3):
            page.run_all()
        page.wait("document.querySelectorAll('.noUi-handle').length == 1")
        self.assertEqual(self.channels(page), before)
        # After the page was loaded anew the picture follows the slider.
        page.press_right(0)
        self.square(page, 11)
        page.save()
        page.reload()
        page.wait("document.querySelectorAll('.noUi-handle').length == 1")
        self.square(page, 11)
        page.press_right(0)
        self.square(page, 12)
        seen = "[...(%s)[1].outputArea.node.querySelectorAll('td')].filter(t => t.checkVisibility()).map(t => t.textContent)" % CODE
        self.assertEqual(page.js(seen), ["144", "false"], "an older picture stands below")
        self.assertEqual(page.js("[...document.querySelectorAll('.bb-late')].filter(n => n.checkVisibility()).length"), 0)
        self.keep(page, "loaded anew")
        # Saved, and opened with another kernel: plain values that agree with the picture.
        page.js("(p => { p.content.activeCellIndex = 1; lab.commands.execute('notebook:run-cell'); })(%s); 1" % jupyterlab.PANEL)
        self.square(page, 10)
        page.press_right(0)
        self.square(page, 11)
        page.save()
        page.js(KERNEL + ".shutdown().then(() => 1)")
        page.go("controls.ipynb")
        told = [name + ": 11 (0 to 100)", "3 min after the thermostat opened: no"]
        page.wait("JSON.stringify(%s) == %s" % (plain_values, json.dumps(json.dumps(told, separators=(",", ":")))))
        self.assertIn("121", page.text(1))
        self.assertNotRegex(page.text(1), "model not found|Loading widget|Error")
        self.keep(page, "without kernel")
        # And without any kernel.
        nb = nbformat.read(os.path.join(self.dir, "controls.ipynb"), 4)
        nb.metadata.kernelspec = {"name": "gone", "display_name": "gone", "language": "go"}
        nbformat.write(nb, os.path.join(self.dir, "gone.ipynb"))
        page.go("gone.ipynb", kernel=False)
        page.wait("JSON.stringify(%s) == %s" % (plain_values, json.dumps(json.dumps(told, separators=(",", ":")))))
        self.assertNotRegex(page.text(1), "model not found|Loading widget|Error")

    def test_picture_of_a_control_on_a_page_loaded_anew(self):
        """It is drawn for the control, live, and on the ground of a dark page."""
        self.write("picture.ipynb", IMPORT + 'import "github.com/bonnetbook/bonnetbook/pkg/chart"',
                   'gap := Must(Slider("gap", 0, 100, 1, 10))\n'
                   'Interact(func() any { return chart.Curves("gap", "a (K)", "b (K)", chart.Curve{Name: "at " + Text(gap.Value()), X: []float64{0, 1, 2}, Y: []float64{0, gap.Value(), 3}}) }, gap)')
        page = self.open("picture.ipynb")
        page.theme(True)
        page.run_all()
        page.wait("document.querySelectorAll('.noUi-handle').length == 1")
        page.save()
        page.reload()
        page.wait("document.querySelectorAll('.noUi-handle').length == 1")
        page.press_right(0)
        own = "[...document.querySelectorAll('.widget-html-content svg.bb')].filter(s => s.checkVisibility())"
        page.wait("%s.length == 1 && %s[0].textContent.includes('at 11')" % (own, own))
        self.assertEqual(page.js("[...document.querySelectorAll('svg.bb')].filter(s => s.checkVisibility()).length"), 1)
        self.assertTrue(page.js(own + "[0].classList.contains('bb-dark') && !document.querySelector('img.bb-picture')"))
        box = page.js("(b => ({x: b.x, y: b.y, w: b.width, h: b.height}))(%s[0].getBoundingClientRect())" % own)
        self.assertLess(max(self.shot(page, box).getpixel((3, 3))), 60)
        self.keep(page, "picture loaded anew")


if __name__ == "__main__":
    unittest.main()
