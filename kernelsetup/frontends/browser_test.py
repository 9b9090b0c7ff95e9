#!/usr/bin/env python3
"""Runs notebooks in the classic notebook, in a headless Chromium.

Debian: jupyter-notebook chromium, and for the sliders
jupyter-nbextension-jupyter-js-widgets. Pictures of the pages go to the folder
BONNETBOOK_PICTURES, if set. Arguments of BONNETBOOK_NOTEBOOKS (a folder) are
opened and run to their end too.
"""
import glob
import os
import shutil
import time
import unittest

import nbformat

import chromium
import classic
import kernelhome

HOME = kernelhome.setup()
WIDGETS = any(os.path.exists(os.path.join(d, "nbextensions/jupyter-js-widgets"))
              for d in ("/usr/share/jupyter", "/usr/local/share/jupyter"))
IMPORT = 'import . "github.com/bonnetbook/bonnetbook/pkg/notebook"\n'


@unittest.skipIf(chromium.find() is None, "no chromium; on Debian: apt-get install chromium")
class Browser(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.dir = os.path.join(HOME, "note books")
        cls.server = classic.Server(cls.dir)

    @classmethod
    def tearDownClass(cls):
        cls.server.close()

    def open(self, name):
        page = classic.Notebook(self.server, name)
        self.addCleanup(page.close)
        return page

    def run_all(self, page, timeout=120):
        page.run_all(timeout)
        time.sleep(0.3)

    def picture(self, page, name):
        if os.environ.get("BONNETBOOK_PICTURES"):
            page.picture(os.path.join(os.environ["BONNETBOOK_PICTURES"], name + ".png"))

    def write(self, name, *cells):
        nbformat.write(kernelhome.notebook(*cells), os.path.join(self.dir, name))

    def outputs(self, page, cell):
        return page.js("Jupyter.notebook.get_cell(%d).output_area.element.text()" % cell)

    def test_cells(self):
        self.write("cells.ipynb", "x := 6", "x * 7",
                   IMPORT + 'Show(Table([]struct{ A int; B string }{{1, "one"}, {2, "two"}}))',
                   'panic("on purpose")')
        page = self.open("cells.ipynb")
        self.run_all(page)
        self.assertIn("42", self.outputs(page, 1))
        self.assertEqual(page.js("Jupyter.notebook.get_cell(2).output_area.element.find('td').length"), 4)
        self.assertIn("on purpose", self.outputs(page, 3))
        self.picture(page, "cells")

    @unittest.skipUnless(WIDGETS, "no widgets; on Debian: apt-get install jupyter-nbextension-jupyter-js-widgets")
    def test_slider(self):
        self.write("slider.ipynb", IMPORT + 'gap := Must(Slider("gap", 0, 10, 1, 2))\n'
                   'kind := Must(Choice("kind", "short", "long"))\n'
                   'Interact(func() any { return Table([]struct{ Kind string; Square float64 }'
                   '{{kind.Value(), gap.Value() * gap.Value()}}) }, gap, kind)')
        page = self.open("slider.ipynb")
        self.run_all(page)
        page.wait("document.querySelectorAll('.widget-slider, .widget-hslider').length > 0")
        page.wait("Jupyter.notebook.get_cell(0).output_area.element.text().includes('4')")
        page.js("document.querySelector('.ui-slider-handle').focus(); 1")
        page.key("ArrowRight", 39)
        page.wait("Jupyter.notebook.get_cell(0).output_area.element.text().includes('9')")
        page.js("var s = document.querySelector('.widget-subarea select'); s.selectedIndex = 1;"
                "s.dispatchEvent(new Event('change', {bubbles: true})); 1")
        page.wait("Jupyter.notebook.get_cell(0).output_area.element.find('td').first().text() == 'long'")
        self.picture(page, "slider")

    @unittest.skipUnless(WIDGETS, "no widgets; on Debian: apt-get install jupyter-nbextension-jupyter-js-widgets")
    def test_page_loaded_anew(self):
        """The kernel lives on: the slider stands where it stood, and a move shows its picture."""
        self.write("anew.ipynb", IMPORT + 'gap := Must(Slider("gap", 0, 100, 1, 20))\n'
                   'Interact(func() any { return Table([]struct{ Square float64 }{{gap.Value() * gap.Value()}}) }, gap)')
        page = self.open("anew.ipynb")
        self.run_all(page)
        page.wait("document.querySelectorAll('.ui-slider-handle').length == 1")
        right = "document.querySelector('.ui-slider-handle').focus(); 1"
        page.js("Jupyter.notebook.save_checkpoint(); 1")
        page.wait("!Jupyter.notebook.dirty")
        page.js(right)
        page.key("ArrowRight", 39)
        page.wait("Jupyter.notebook.get_cell(0).output_area.element.text().includes('441')")
        page.js("window.onbeforeunload = null; Jupyter.notebook.set_dirty(false); 1")
        page.command("Page.reload")
        page.wait("window.Jupyter && Jupyter.notebook && Jupyter.notebook.kernel && Jupyter.notebook.kernel.is_connected() && "
                  "Jupyter.notebook._fully_loaded && document.querySelectorAll('.ui-slider-handle').length == 1")
        # The picture for the slider is the only one that is seen, after each move.
        seen = "[...Jupyter.notebook.get_cell(0).element.find('td')].filter(t => t.checkVisibility()).map(t => t.textContent).join()"
        late = "[...document.querySelectorAll('.bb-late')]"
        page.wait(seen + " == '441'")
        for square in (484, 529, 576):
            page.js(right)
            page.key("ArrowRight", 39)
            page.wait(seen + " == '%d'" % square)
        self.assertEqual(page.js(late + ".map(n => n.checkVisibility())"), [False])
        self.picture(page, "anew")
        self.run_all(page)
        page.wait("!%s.length && %s == '400'" % (late, seen))

    @unittest.skipUnless(WIDGETS, "no widgets; on Debian: apt-get install jupyter-nbextension-jupyter-js-widgets")
    def test_range_checkbox_and_text(self):
        self.write("inputs.ipynb", IMPORT + 'span := Must(RangeSlider("speed", 0, 120, 10, 20, 60))\n'
                   'ram, field := Checkbox("ram", false), TextField("name", "first")\n'
                   'Interact(func() any { from, to := span.Values(); return Table([]struct{ From, To float64; Ram bool; Name string }'
                   '{{from, to, ram.Value(), field.Value()}}) }, span, ram, field)')
        page = self.open("inputs.ipynb")
        self.run_all(page)
        page.wait("document.querySelectorAll('.ui-slider-handle').length == 2")
        row = "[...Jupyter.notebook.get_cell(0).output_area.element.find('td')].map(t => t.textContent).join(' ')"
        page.wait(row + " == '20 60 false first'")
        page.js("document.querySelectorAll('.ui-slider-handle')[1].focus(); 1")
        page.key("ArrowRight", 39)
        page.wait(row + " == '20 70 false first'")
        page.js("document.querySelectorAll('.ui-slider-handle')[0].focus(); 1")
        page.key("ArrowRight", 39)
        page.wait(row + " == '30 70 false first'")
        self.assertEqual(page.js("[...document.querySelectorAll('.widget-label')].filter(l => l.scrollWidth > l.clientWidth + 1).map(l => l.textContent)"), [])
        page.js("document.querySelector('.widget-subarea input[type=checkbox]').click(); 1")
        page.wait(row + " == '30 70 true first'")
        page.js("var t = document.querySelector('.widget-subarea input[type=text]'); t.value = 'second';"
                "t.dispatchEvent(new KeyboardEvent('keyup', {bubbles: true})); 1")
        page.wait(row + " == '30 70 true second'")
        self.picture(page, "inputs")

    @unittest.skipUnless(WIDGETS, "no widgets; on Debian: apt-get install jupyter-nbextension-jupyter-js-widgets")
    def test_waiting_and_reopened(self):
        """Moved while a cell runs the slider says that it waits; opened without its kernel the notebook has plain values."""
        stop, name = os.path.join(HOME, "stop"), "stop-and-go below a speed of so many km/h"
        self.write("waits.ipynb", IMPORT + 'import ("os"; "time")\ngap := Must(Slider("%s", 0, 100, 1, 10))\n'
                   'Interact(func() any { return Table([]struct{ Square float64 }{{gap.Value() * gap.Value()}}) }, gap)' % name,
                   'for {\n\tif _, err := os.Stat("%s"); err == nil {\n\t\tbreak\n\t}\n\ttime.Sleep(10*time.Millisecond)\n}' % stop)
        page = self.open("waits.ipynb")
        page.js("Jupyter.notebook.execute_all_cells(); 1")
        page.wait("document.querySelectorAll('.ui-slider-handle').length == 1 && Jupyter.notebook.get_cell(1).input_prompt_number == '*'")
        text = "Jupyter.notebook.get_cell(0).element.text()"
        page.wait(text + ".includes('100')")
        page.wait("Jupyter.notebook.get_cell(0).input_prompt_number > 0")
        page.js("document.querySelector('.ui-slider-handle').focus(); 1")
        page.key("ArrowRight", 39)
        page.wait(text + ".includes('waits for the cell that runs')")
        self.assertNotIn("121", self.outputs(page, 0))
        open(stop, "w").close()
        page.wait(text + ".includes('121') && !%s.includes('waits for')" % text)
        cut = ("[...document.querySelectorAll('.widget-area .widget-label, .widget-area .widget-html')].filter(l => l.scrollWidth > l.clientWidth + 1)"
               ".map(l => l.textContent)")
        self.assertEqual(page.js(cut), [])
        plain = "[...document.querySelectorAll('.bb-plain')].filter(e => e.checkVisibility()).map(e => e.textContent).join()"
        self.assertEqual(page.js(plain), "")
        page.js("Jupyter.notebook.save_checkpoint(); 1")
        page.wait("!Jupyter.notebook.dirty")
        page.js("Jupyter.notebook.session.delete(); 1")
        page.close()
        page = self.open("waits.ipynb")
        page.wait("%s == '%s: 11 (0 to 100)'" % (plain, name))
        self.assertIn("121", self.outputs(page, 0))
        self.picture(page, "reopened")

    @unittest.skipUnless(WIDGETS, "no widgets; on Debian: apt-get install jupyter-nbextension-jupyter-js-widgets")
    def test_slider_tells_what_went_wrong(self):
        """Two sliders in one cell; an error, a panic, and the cell run again."""
        self.write("trouble.ipynb", IMPORT + 'import "errors"\n'
                   'a, b := Must(Slider("a <i>", 0, 10, 1, 2)), Must(Slider("b", 0, 10, 1, 5))\n'
                   'Interact(func() any {\n'
                   '\tswitch a.Value() {\n\tcase 3:\n\t\treturn errors.New("3 <is> too much")\n\tcase 4:\n\t\tpanic("on purpose")\n\t}\n'
                   '\treturn Table([]struct{ Sum float64 }{{a.Value() + b.Value()}})\n}, a, b)',
                   "a.Value()")
        page = self.open("trouble.ipynb")
        text = "Jupyter.notebook.get_cell(0).output_area.element.text()"
        sum_is = "Jupyter.notebook.get_cell(0).output_area.element.find('td').text() == '%d'"

        def right(handle):
            page.js("document.querySelectorAll('.ui-slider-handle')[%d].focus(); 1" % handle)
            page.key("ArrowRight", 39)

        for again in range(2):
            self.run_all(page)
            page.wait("document.querySelectorAll('.ui-slider-handle').length == 2")
            page.wait(sum_is % 7)
            right(1)
            page.wait(sum_is % 8)
            right(0)
            page.wait(text + ".includes('error: 3 <is> too much')")
            if not again:
                self.picture(page, "slider-error")
            right(0)
            page.wait("/panic: on purpose|did not come to its end/.test(%s)" % text)
            right(0)
            page.wait(sum_is % 11)
        self.assertEqual(page.js("Jupyter.notebook.get_cell(0).output_area.element.find('i').length"), 0)
        self.picture(page, "slider-again")

    @unittest.skipUnless(os.environ.get("BONNETBOOK_NOTEBOOKS"), "no folder of notebooks named")
    def test_notebooks(self):
        source = os.environ["BONNETBOOK_NOTEBOOKS"]
        for path in sorted(glob.glob(os.path.join(source, "*.ipynb"))):
            name = os.path.basename(path)
            with self.subTest(notebook=name):
                nb = nbformat.read(path, 4)
                # The copy runs in a folder beside the data that it names.
                shutil.copy(path, self.dir)
                for data in ("testdata",):
                    link = os.path.join(HOME, data)
                    if not os.path.exists(link):
                        os.symlink(os.path.join(kernelhome.ROOT, data), link)
                page = self.open(name)
                self.run_all(page)
                code = [c for c in nb.cells if c.cell_type == "code"]
                meant = [c for c in code if "raises-exception" in c.metadata.get("tags", [])]
                self.assertEqual(page.js("document.querySelectorAll('.output_error').length"), len(meant))
                ran = page.js("Jupyter.notebook.get_cells().filter(c => c.cell_type == 'code' && c.input_prompt_number > 0).length")
                self.assertEqual(ran, len(code))
                self.assertGreater(page.js("document.querySelectorAll('.output_png img, .output_html .bb-wide svg.bb').length"), 0)
                self.picture(page, name.removesuffix(".ipynb"))


if __name__ == "__main__":
    unittest.main()
