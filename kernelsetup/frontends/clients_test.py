#!/usr/bin/env python3
"""Drives the kernel through nbclient, nbconvert and jupyter console.

Debian: python3-nbclient jupyter-nbconvert jupyter-console.
"""
import os
import shutil
import subprocess
import sys
import tempfile
import unittest

import nbformat

import kernelhome

HOME = kernelhome.setup()


def needs(module, package):
    return unittest.skipIf(subprocess.run([sys.executable, "-c", "import " + module], capture_output=True).returncode,
                           "no Python module %s; on Debian: apt-get install %s" % (module, package))


class Clients(unittest.TestCase):
    @needs("nbclient", "python3-nbclient")
    def test_nbclient(self):
        from nbclient import NotebookClient
        from nbclient.exceptions import CellExecutionError
        nb = kernelhome.notebook("x := 20\nx + 1", 'import "fmt"\nfor i := range 3 {\n\tfmt.Println(i, x)\n}')
        NotebookClient(nb, timeout=60).execute()
        self.assertEqual(nb.cells[0].outputs[0]["data"]["text/plain"], "21")
        self.assertEqual(nb.cells[1].outputs[0]["text"], "0 20\n1 20\n2 20\n")
        nb = kernelhome.notebook("y := []int{1}\ny[3]")
        with self.assertRaises(CellExecutionError) as caught:
            NotebookClient(nb, timeout=60).execute()
        self.assertIn("index out of range", str(caught.exception))

    @needs("nbconvert", "jupyter-nbconvert")
    def test_nbconvert(self):
        with tempfile.TemporaryDirectory(prefix="with spaces ") as d:
            path = os.path.join(d, "n.ipynb")
            nbformat.write(kernelhome.notebook("a := 6\na * 7"), path)
            subprocess.run([sys.executable, "-m", "nbconvert", "--to", "notebook", "--execute", "--inplace", path],
                           check=True, capture_output=True)
            nb = nbformat.read(path, 4)
            self.assertEqual(nb.cells[0].outputs[0]["data"]["text/plain"], "42")
            subprocess.run([sys.executable, "-m", "nbconvert", "--to", "html", path], check=True, capture_output=True)
            with open(os.path.join(d, "n.html")) as f:
                self.assertIn("42", f.read())

    @needs("jupyter_console", "jupyter-console")
    def test_console(self):
        p = subprocess.run([sys.executable, "-m", "jupyter_console", "--kernel", "bonnetbook", "--simple-prompt"],
                           input="z := 5\nz * 3\n", capture_output=True, text=True, timeout=60)
        self.assertIn("15", p.stdout)

    @needs("jupyter_client", "python3-jupyter-client")
    def test_run_without_jupyter_writes_the_same(self):
        program = os.environ.get("BONNETBOOK_PROGRAM") or os.path.join(HOME, "bonnetbook")
        with tempfile.TemporaryDirectory() as d:
            path = os.path.join(d, "n.ipynb")
            nbformat.write(kernelhome.notebook('import "fmt"\nfmt.Println("a")\n1.5'), path)
            shutil.copy(path, os.path.join(d, "m.ipynb"))
            subprocess.run([program, "run", "-q", "-o", path + ".out", path], check=True)
            subprocess.run([sys.executable, "-m", "nbconvert", "--to", "notebook", "--execute", "--inplace",
                            os.path.join(d, "m.ipynb")], check=True, capture_output=True)
            ours, theirs = nbformat.read(path + ".out", 4), nbformat.read(os.path.join(d, "m.ipynb"), 4)
            self.assertEqual(ours.cells[0].outputs, theirs.cells[0].outputs)


if __name__ == "__main__":
    unittest.main()
