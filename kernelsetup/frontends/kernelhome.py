"""Builds the kernel and registers it in a folder of its own, so that these
tests touch nothing of the user's."""
import atexit
import os
import shutil
import subprocess
import sys
import tempfile

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))


def setup():
    """Returns the folder, whose name has spaces on purpose; sets JUPYTER_PATH.

    BONNETBOOK_PROGRAM names a built kernel; without it one is built with Go.
    """
    home = tempfile.mkdtemp(prefix="front end test ")
    atexit.register(shutil.rmtree, home, True)
    program = os.environ.get("BONNETBOOK_PROGRAM")
    if not program:
        go = shutil.which("go")
        if not go:
            sys.exit("no Go on the PATH to build the kernel; set BONNETBOOK_PROGRAM to a built one")
        program = os.path.join(home, "bonnetbook")
        subprocess.run([go, "build", "-o", program, "./kernelsetup"], check=True, cwd=ROOT)
    data = os.path.join(home, "jupyter data")
    subprocess.run([program, "install", "--dir", data], check=True, stdout=subprocess.DEVNULL)
    os.environ["JUPYTER_PATH"] = data
    os.environ["JUPYTER_CONFIG_DIR"] = os.path.join(home, "config")
    os.environ["JUPYTER_RUNTIME_DIR"] = os.path.join(home, "runtime")
    os.environ["XDG_DATA_HOME"] = os.path.join(home, "home")
    return home


def notebook(*cells):
    """Returns a notebook for this kernel with the given code cells."""
    from nbformat.v4 import new_code_cell, new_notebook
    nb = new_notebook(metadata={"kernelspec": {
        "name": "bonnetbook", "display_name": "Go (Bonnetbook)", "language": "go"}})
    nb.cells = [new_code_cell(c) for c in cells]
    return nb
