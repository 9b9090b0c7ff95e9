#!/usr/bin/env python3
"""Prints the page of a verdict with three configurations in a headless Chromium:
two sheets of A4 at most; and at 390 px nothing is wider than the screen and no
text of a picture below 10 px.

The page is written by the tests of kernelsetup/internal/document into the folder
BONNETBOOK_PICTURES, or a folder of this test's own.
"""
import base64
import os
import re
import subprocess
import tempfile
import unittest
import urllib.request

import chromium
import kernelhome

FOLDER = os.environ.get("BONNETBOOK_PICTURES") or tempfile.mkdtemp(prefix="page")
NAME = "three configurations.html"


@unittest.skipIf(chromium.find() is None, "no chromium; on Debian: apt-get install chromium")
class Page(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        subprocess.run(["go", "test", "-count=1", "-run", "TestThreeConfigurationsOnOnePage", "./kernelsetup/internal/document"],
                       cwd=kernelhome.ROOT, check=True, env=dict(os.environ, BONNETBOOK_PICTURES=FOLDER))
        cls.page = chromium.Page("about:blank", 1000, 1600)

    @classmethod
    def tearDownClass(cls):
        cls.page.close()

    def open(self, width):
        self.page.command("Emulation.setDeviceMetricsOverride", width=width, height=1600, deviceScaleFactor=1, mobile=False)
        self.page.command("Page.navigate", url="file://" + urllib.request.quote(os.path.join(FOLDER, NAME)))
        self.page.wait("document.readyState == 'complete' && document.querySelector('section.more') != null")

    def test_two_sheets(self):
        self.open(1000)
        pdf = base64.b64decode(self.page.command("Page.printToPDF", preferCSSPageSize=True)["data"])
        sheets = len(re.findall(rb"/Type\s*/Page[^s]", pdf))
        self.assertIn(sheets, (1, 2), "sheets of A4")
        self.assertIn(b"/MediaBox [0 0 59", pdf, "A4 is 595 points wide")

    def test_on_a_phone(self):
        self.open(390)
        self.assertLessEqual(self.page.js("document.documentElement.scrollWidth"), 390)
        sizes = self.page.js("[...document.querySelectorAll('svg text')].map(e => parseFloat(getComputedStyle(e).fontSize) * e.ownerSVGElement.getBoundingClientRect().width / e.ownerSVGElement.viewBox.baseVal.width)")
        self.assertTrue(sizes)
        self.assertGreaterEqual(min(sizes), 9.99)


if __name__ == "__main__":
    unittest.main()
