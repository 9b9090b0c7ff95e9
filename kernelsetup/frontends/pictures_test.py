#!/usr/bin/env python3
"""Finds every word of the still pictures in their interactive forms, as a
headless Chromium draws them: our own, and the Vega-Lite documents as vega and
vega-lite from npm draw them (npm ci in this folder brings them).

The pictures are those of the demo, written by the tests of pkg/chart into the
folder BONNETBOOK_PICTURES, or into a new one.
"""
import base64
import glob
import io
import json
import os
import re
import subprocess
import tempfile
import unittest
import xml.etree.ElementTree as ElementTree

import chromium
import kernelhome

HERE = os.path.dirname(os.path.abspath(__file__))
LIBRARIES = [os.path.join(HERE, "node_modules", p) for p in ("vega/build/vega.min.js", "vega-lite/build/vega-lite.min.js")]
FOLDER = os.environ.get("BONNETBOOK_PICTURES") or tempfile.mkdtemp(prefix="pictures")

# Every text of a drawing with where it is, and whether anything of it is shown.
TEXTS = """[...document.querySelectorAll('svg text')].filter(t => t.textContent.trim() && t.checkVisibility({opacityProperty: true, visibilityProperty: true}))
  .map(t => { const b = t.getBoundingClientRect(), s = getComputedStyle(t);
    return {text: t.textContent, x: b.x, y: b.y, w: b.width, h: b.height, size: parseFloat(s.fontSize) * (t.getScreenCTM ? Math.hypot(t.getScreenCTM().a, t.getScreenCTM().b) : 1), fill: s.fill, opacity: s.fillOpacity}; })"""


def plain(text):
    """A text without line breaks and with one kind of minus."""
    return re.sub(r"\s+", " ", text.replace("\u2212", "-")).strip()


def still_texts(path):
    """The texts of a still picture, as gonum/plot drew them."""
    return [plain(e.text or "") for e in ElementTree.parse(path).iter() if e.tag.endswith("}text") or e.tag == "text"]


def luminance(rgb):
    def linear(v):
        v /= 255
        return v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4
    r, g, b = [linear(float(v)) for v in rgb[:3]]
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(a, b):
    a, b = sorted((luminance(a), luminance(b)))
    return (b + 0.05) / (a + 0.05)


def colour(css):
    return [float(v) for v in re.findall(r"[\d.]+", css)][:3]


@unittest.skipIf(chromium.find() is None, "no chromium; on Debian: apt-get install chromium")
class Pictures(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        if not glob.glob(os.path.join(FOLDER, "*.html")):
            subprocess.run(["go", "test", "-count=1", "-run", "TestInteractiveFormsAreSmall", "./pkg/chart"], cwd=kernelhome.ROOT, check=True,
                           env=dict(os.environ, BONNETBOOK_PICTURES=FOLDER))
        cls.names = sorted(os.path.basename(p)[:-5] for p in glob.glob(os.path.join(FOLDER, "*.html")))
        cls.page = chromium.Page("about:blank", 1000, 1600)

    @classmethod
    def tearDownClass(cls):
        cls.page.close()

    def open(self, name, width=1000, dark=False, script=True):
        self.page.command("Emulation.setScriptExecutionDisabled", value=not script)
        self.page.command("Emulation.setDeviceMetricsOverride", width=width, height=1600, deviceScaleFactor=1, mobile=False)
        url = "file://" + os.path.join(FOLDER, name + ".html")
        self.page.command("Page.navigate", url=url)
        self.page.wait("document.readyState == 'complete' && location.href.endsWith(%s)" % json.dumps(name + ".html"))
        if script:
            self.page.wait("[...document.querySelectorAll('.bb-holder')].every(h => h.querySelector(h.clientWidth < 690 ? '.bb-narrow svg' : '.bb-wide svg'))")
        if dark:
            self.page.js("document.body.style.background = '#111'; document.body.setAttribute('data-theme', 'dark'); 1")
            self.page.wait("[...document.querySelectorAll('svg.bb')].every(s => s.classList.contains('bb-dark'))", 5)

    def shown(self):
        """The texts that leave ink: the page differs without them at their place."""
        texts = self.page.js(TEXTS)
        with_text = self.pixels()
        self.page.js("var hide = document.createElement('style'); hide.textContent = 'svg text{visibility:hidden!important}'; document.head.appendChild(hide); 1")
        without = self.pixels()
        self.page.js("hide.remove(); 1")
        return [t for t in texts if self.differs(with_text, without, t)]

    def pixels(self):
        from PIL import Image
        size = self.page.js("[document.documentElement.scrollWidth, document.documentElement.scrollHeight]")
        data = self.page.command("Page.captureScreenshot", format="png", captureBeyondViewport=True,
                                 clip={"x": 0, "y": 0, "width": size[0], "height": size[1], "scale": 1})["data"]
        return Image.open(io.BytesIO(base64.b64decode(data))).convert("RGB")

    def differs(self, a, b, t):
        from PIL import ImageChops
        box = (max(0, int(t["x"])), max(0, int(t["y"])), min(a.width, int(t["x"] + t["w"]) + 1), min(a.height, int(t["y"] + t["h"]) + 1))
        if box[0] >= box[2] or box[1] >= box[3]:
            return False
        return ImageChops.difference(a.crop(box), b.crop(box)).getbbox() is not None

    def missing(self, want, texts):
        """What of want is not among the texts; a text may be drawn in rows."""
        left = [plain(t["text"]) for t in texts]
        gone = []
        for w in want:
            if w in left:
                left.remove(w)
            else:
                gone.append(w)
        return gone

    def test_nothing_is_lost(self):
        for name in self.names:
            with self.subTest(picture=name):
                self.open(name)
                self.assertEqual(self.missing(still_texts(os.path.join(FOLDER, name + ".svg")), self.shown()), [])

    def test_a_lost_legend_entry_is_noticed(self):
        self.open("temperatures-marked")
        want = still_texts(os.path.join(FOLDER, "temperatures-marked.svg"))
        self.assertIn("full throttle", want)
        for trick in ("t.remove()", "t.setAttribute('fill', 'none')", "t.setAttribute('x', -500)", "t.style.opacity = 0"):
            self.open("temperatures-marked")
            self.page.js("var t = [...document.querySelectorAll('.bb-wide text')].find(t => t.textContent == 'full throttle'); %s; 1" % trick)
            self.assertEqual(self.missing(want, self.shown()), ["full throttle"], trick)

    def test_narrow_and_dark(self):
        for name in self.names:
            for width, dark in ((1000, True), (390, False), (390, True)):
                with self.subTest(picture=name, width=width, dark=dark):
                    self.open(name, width, dark)
                    texts = self.shown()
                    self.assertGreater(len(texts), 4)
                    ground = (0x11, 0x11, 0x11) if dark else (255, 255, 255)
                    for t in texts:
                        self.assertGreaterEqual(t["size"], 10, t["text"])
                        self.assertGreaterEqual(contrast(colour(t["fill"]), ground), 3, t["text"] + " " + t["fill"])
                        self.assertLessEqual(t["x"] + t["w"], width + 1, t["text"])
                    if dark:
                        corner = self.pixels().getpixel((3, 3))
                        self.assertLess(max(corner), 40, "a white block on a dark page")
                    self.keep("%s-%d%s" % (name, width, "-dark" if dark else ""))

    def keep(self, name):
        if os.environ.get("BONNETBOOK_PICTURES"):
            self.pixels().save(os.path.join(FOLDER, "drawn-" + name + ".png"))

    def mouse(self, kind, x, y, **more):
        self.page.command("Input.dispatchMouseEvent", type=kind, x=x, y=y, **more)

    def drag(self, a, b, y):
        self.mouse("mousePressed", a, y, button="left", clickCount=1)
        self.mouse("mouseMoved", (a + b) / 2, y, button="left", buttons=1)
        self.mouse("mouseMoved", b, y, button="left", buttons=1)
        self.mouse("mouseReleased", b, y, button="left", clickCount=1)

    def test_zoom_and_reading(self):
        self.open("temperatures-marked")
        boxes = self.page.js("[...document.querySelectorAll('.bb-wide .bb-area')].map(a => { const b = a.getBoundingClientRect(); return [b.x, b.y, b.width, b.height]; })")
        self.assertEqual(len(boxes), 2)
        x, y, w, h = boxes[0]
        self.mouse("mouseMoved", x + w / 2, y + h / 2)
        values = self.page.js("[...document.querySelectorAll('.bb-wide .bb-value')].map(t => t.textContent)")
        self.assertTrue(any(re.fullmatch(r"intake \d+\.\d °C = \d+(\.\d)? °F", v.replace("\u00a0", " ")) for v in values), values)
        self.assertTrue(any(re.fullmatch(r"speed \d+(\.\d)? km/h = \d+(\.\d)? mph", v.replace("\u00a0", " ")) for v in values), values)
        self.keep("reading")
        shift = "[...document.querySelectorAll('.bb-wide .bb-s')].map(g => g.getAttribute('transform').replace(/ scale.*/, ''))"
        self.drag(x + 0.2 * w, x + 0.3 * w, y + h / 2)
        zoomed = self.page.js(shift)
        self.assertEqual(len(set(zoomed)), 1, "the panels show different stretches")
        self.assertAlmostEqual(float(re.search(r"matrix\(([\d.]+)", zoomed[0]).group(1)), 10, delta=0.5)
        ticks = self.page.js("[...document.querySelectorAll('.bb-wide .bb-t text')].map(t => t.textContent)")
        self.assertTrue(all(9 <= float(t) <= 16 for t in ticks) and len(ticks) >= 4, ticks)
        self.keep("zoomed")
        self.drag(x + 0.5 * w, x + 0.2 * w, y + h / 2)
        self.assertNotEqual(self.page.js(shift), zoomed)
        self.assertEqual(len(set(self.page.js(shift))), 1)
        self.page.js("[...document.querySelectorAll('.bb-wide .bb-tools button')].find(b => b.textContent == 'whole').click(); 1")
        self.assertEqual(set(self.page.js(shift)), {"matrix(1 0 0 1 0 0)"})

    def test_names_stay_in_view(self):
        """A line that is named beside it has its name in every stretch that is shown, in its colour."""
        self.open("temperatures-marked")
        names = ["intake", "top-tank", "ambient", "speed"]
        self.assertEqual([n for n in names if n not in [t["text"] for t in self.shown()]], [])
        x, y, w, h = self.page.js("(b => [b.x, b.y, b.width, b.height])(document.querySelector('.bb-wide .bb-area').getBoundingClientRect())")
        self.drag(x + 0.5 * w, x + 0.6 * w, y + h / 2)
        self.mouse("mouseMoved", 1, 1)
        shown = [t for t in self.shown() if t["text"] in names and x <= t["x"] and t["x"] + t["w"] <= x + w + 1]
        self.assertEqual(sorted(t["text"] for t in shown), sorted(names))
        for a in shown:
            for b in shown:
                self.assertTrue(a is b or a["y"] + a["h"] < b["y"] + 4 or b["y"] + b["h"] < a["y"] + 4, "%s on %s" % (a["text"], b["text"]))
        self.keep("names-zoomed")
        self.page.js("[...document.querySelectorAll('.bb-wide .bb-tools button')].find(b => b.textContent == 'whole').click(); 1")
        self.assertEqual(self.page.js("document.querySelectorAll('.bb-edge text').length"), 0)

    def test_axes_move_apart(self):
        """A close-up below the whole drive is zoomed without it, in all its panels."""
        self.open("evidence")
        shifts = "[...document.querySelectorAll('.bb-wide .bb-v')].map(v => [v.dataset.plot, v.querySelector('.bb-s') ? v.querySelector('.bb-s').getAttribute('transform') : '']).filter(p => p[1])"
        before = self.page.js(shifts)
        x, y, w, h = self.page.js("(b => [b.x, b.y, b.width, b.height])(document.querySelectorAll('.bb-wide .bb-area')[1].getBoundingClientRect())")
        self.mouse("mouseMoved", x + w / 2, y + h / 2)
        self.assertEqual(self.page.js("document.querySelectorAll('.bb-wide .bb-cross > path').length"), 2)
        self.drag(x + 0.4 * w, x + 0.6 * w, y + h / 2)
        after = self.page.js(shifts)
        for (plot, a), (_, b) in zip(before, after):
            (self.assertEqual if plot == "0" else self.assertNotEqual)(a, b, "plot " + plot)
        self.keep("evidence-zoomed")

    def test_second_scale_below_is_zoomed(self):
        """A second scale below stands at its unit's place of the first, zoomed, moved and whole: degrees Fahrenheit
        below degrees Celsius, miles per hour below kilometres per hour, degrees Fahrenheit of difference below kelvins."""
        for name, factor, offset in (("icing", 1.8, 32), ("scatter", 1 / 1.609344, 0), ("histogram", 1.8, 0), ("histogram-ambient", 1.8, 32)):
            with self.subTest(picture=name):
                self.second_scale(name, factor, offset)

    def second_scale(self, name, factor, offset):
        self.open(name)
        texts = """(below => [...document.querySelectorAll('.bb-wide .bb-t')].filter(g => (g.dataset.scale == 'below') == below)
          .flatMap(g => [...g.querySelectorAll('text')].map(t => [Number(t.textContent.replace('\u2212', '-')), Number(t.getAttribute('x'))])))(%s)"""

        def scales():
            first, second = self.page.js(texts % "false"), self.page.js(texts % "true")
            self.assertGreaterEqual(min(len(first), len(second)), 2, (first, second))
            (a, xa), (b, xb) = first[0], first[-1]
            for f, x in second:
                c = a + (x - xa) / (xb - xa) * (b - a)
                self.assertAlmostEqual(f, factor * c + offset, delta=0.02 * factor * (b - a), msg=str((first, second)))
            return second
        whole = scales()
        x, y, w, h = self.page.js("(b => [b.x, b.y, b.width, b.height])(document.querySelector('.bb-wide .bb-area').getBoundingClientRect())")
        self.drag(x + 0.4 * w, x + 0.5 * w, y + h / 2)
        zoomed = scales()
        self.assertLess(zoomed[-1][0] - zoomed[0][0], 0.2 * (whole[-1][0] - whole[0][0]))
        self.drag(x + 0.6 * w, x + 0.3 * w, y + h / 2)
        self.assertNotEqual(scales(), zoomed)
        self.keep(name + "-below-zoomed")
        self.page.js("[...document.querySelectorAll('.bb-wide .bb-tools button')].find(b => b.textContent == 'whole').click(); 1")
        again = scales()
        self.assertLess(abs(again[-1][0] - again[0][0] - (whole[-1][0] - whole[0][0])), 0.3 * (whole[-1][0] - whole[0][0]))

    def test_without_scripts(self):
        """The picture stays: ink where the drawing is, and nothing else."""
        self.open("temperatures-marked", script=False)
        colours = self.pixels().getcolors(1 << 20)
        self.assertGreater(len(colours), 50)
        self.keep("without-scripts")
        self.page.command("Emulation.setScriptExecutionDisabled", value=False)

    def test_vega_lite_says_the_same(self):
        for name in self.names:
            with self.subTest(picture=name):
                self.draw_vega(name)
                texts = self.shown()
                said = {plain(t["text"]) for t in texts}
                # vega draws long titles in rows, without a space between them
                joined = "".join(plain(t["text"]) for t in texts).replace(" ", "")
                for word in self.words(name):
                    self.assertTrue(word in said or word.replace(" ", "") in joined, "%r is not in %s" % (word, sorted(said)))
                self.keep(name + "-vega")

    def test_vega_lite_with_a_legend_entry_gone(self):
        self.draw_vega("temperatures-marked")
        self.page.js("[...document.querySelectorAll('text')].find(t => t.textContent == 'full throttle').remove(); 1")
        self.assertNotIn("full throttle", {plain(t["text"]) for t in self.shown()})

    def words(self, name):
        """Words of the still picture but the numbers at its ticks."""
        words = [w for w in still_texts(os.path.join(FOLDER, name + ".svg")) if not re.fullmatch(r"-?[\d.]+", w)]
        self.assertGreater(len(words), 1)
        return words

    def draw_vega(self, name):
        empty = os.path.join(FOLDER, "empty.htm")
        with open(empty, "w") as f:
            f.write("<!DOCTYPE html><meta charset=utf-8><div id=v></div>")
        self.page.command("Emulation.setDeviceMetricsOverride", width=1000, height=1600, deviceScaleFactor=1, mobile=False)
        self.page.command("Page.navigate", url="file://" + empty)
        self.page.wait("document.readyState == 'complete' && location.href.endsWith('empty.htm')")
        for library in LIBRARIES:
            with open(library) as f:
                self.page.js(f.read() + ";1")
        with open(os.path.join(FOLDER, name + ".vl.json")) as f:
            document = f.read()
        self.page.js("new vega.View(vega.parse(vegaLite.compile(%s).spec), {renderer: 'svg', container: '#v', hover: true}).runAsync().then(() => 1)" % document)


if __name__ == "__main__":
    unittest.main()
