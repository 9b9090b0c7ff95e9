"""The classic notebook, served on this machine and driven in a headless Chromium."""
import os
import sys
import urllib.request

import chromium
import served


class Server(served.Server):
    """Serves the notebooks of a folder."""

    def __init__(self, folder):
        os.makedirs(folder)
        super().__init__(lambda port: [
            sys.executable, "-m", "notebook", "--no-browser", "--allow-root", "--ip=127.0.0.1",
            "--port=%d" % port, "--port-retries=0", "--NotebookApp.token=", "--NotebookApp.password=",
            "--notebook-dir=" + folder])


class Notebook(chromium.Page):
    """A notebook in the classic notebook, with a kernel of its own."""

    def __init__(self, server, name):
        super().__init__("http://127.0.0.1:%d/notebooks/%s" % (server.port, urllib.request.quote(name)))
        try:
            self.wait("window.Jupyter && Jupyter.notebook && Jupyter.notebook.kernel && "
                      "Jupyter.notebook.kernel.is_connected() && Jupyter.notebook._fully_loaded", 300)
        except TimeoutError:
            self.close()
            raise

    def run_all(self, timeout=300):
        """Runs all cells and waits for their replies and for all their outputs, which come by another way."""
        self.js("Jupyter.notebook.execute_all_cells(); 1")
        self.wait("Jupyter.notebook.get_cells().filter(c => c.cell_type == 'code')"
                  ".every(c => !isNaN(parseInt(c.input_prompt_number)) && (m => !m || m.iopub_done)(Jupyter.notebook.kernel._msg_callbacks[c.last_msg_id]))", timeout)
