"""JupyterLab as npm brings it (lab/), served on this machine and driven in a
headless Chromium."""
import importlib.util
import json
import os
import sys
import urllib.request

import chromium
import served

HERE = os.path.dirname(os.path.abspath(__file__))
SERVED = importlib.util.find_spec("jupyterlab_server") is not None
BUILT = os.path.exists(os.path.join(HERE, "lab", "build", "main.js"))


def missing():
    """What is not there, in words; None if all is."""
    if chromium.find() is None:
        return "no chromium; on Debian: apt-get install chromium"
    if not SERVED:
        return "no server; on Debian: apt-get install jupyter-server python3-jupyterlab-server"
    if not BUILT:
        return "JupyterLab is not built; make lab"
    return None


class Server(served.Server):
    """Serves the notebooks of a folder."""

    def __init__(self, folder, state):
        os.makedirs(folder, exist_ok=True)
        os.makedirs(state, exist_ok=True)
        with open(os.path.join(state, "server.log"), "w") as log:
            super().__init__(lambda port: [
                sys.executable, os.path.join(HERE, "lab", "server.py"), "--no-browser", "--allow-root", "--ServerApp.ip=127.0.0.1",
                "--ServerApp.port=%d" % port, "--ServerApp.port_retries=0", "--ServerApp.token=", "--ServerApp.password=",
                "--ServerApp.root_dir=" + folder], log, BONNETBOOK_LAB_STATE=state)


# The notebook that is open, its kernel, and its code cells.
PANEL = "[...lab.shell.widgets('main')].find(w => w.content && w.sessionContext)"
KERNEL = PANEL + ".sessionContext.session?.kernel"
CODE = PANEL + ".content.widgets.filter(c => c.model.type == 'code')"


class Notebook(chromium.Page):
    """A notebook in JupyterLab, with a kernel of its own."""

    def __init__(self, server, name, width=1100, height=1400):
        super().__init__("about:blank", width, height)
        self.server = server
        self.command("Emulation.setFocusEmulationEnabled", enabled=True)
        self.command("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=False)
        self.go(name)

    def go(self, name, kernel=True):
        """Opens a notebook, in place of the one that is open."""
        self.js("window.lab = undefined; 1")
        self.command("Page.navigate", url="http://127.0.0.1:%d/lab/tree/%s?reset" % (self.server.port, urllib.request.quote(name)))
        self.opened(kernel)

    def opened(self, kernel=True):
        self.wait("window.lab && %s && %s.context.isReady" % (PANEL, PANEL))
        if kernel:
            self.wait("%s && %s.connectionStatus == 'connected' && %s.status == 'idle'" % ((KERNEL,) * 3))
        self.js("lab.shell.activateById(%s.id); lab.shell.collapseLeft(); lab.shell.collapseRight(); 1" % PANEL)

    def reload(self):
        self.js("window.onbeforeunload = null; window.lab = undefined; 1")
        self.command("Page.reload")
        self.opened()

    def save(self):
        self.js("%s.context.save().then(() => 1)" % PANEL)

    def run_all(self, timeout=300):
        """Runs all cells, over errors that are meant, too."""
        self.js("%s.content.widgets.forEach(c => c.model.type == 'code' && (c.model.executionCount = null)); "
                "lab.commands.execute('notebook:run-all-cells'); 1" % PANEL)
        self.wait(CODE + ".every(c => c.model.executionCount > 0 || !c.model.sharedModel.getSource().trim()) && %s.status == 'idle'" % KERNEL, timeout)

    def theme(self, dark):
        name = "JupyterLab Dark" if dark else "JupyterLab Light"
        self.js("lab.commands.execute('apputils:change-theme', {theme: %s}).then(() => 1)" % json.dumps(name))
        self.wait("document.body.dataset.jpThemeLight == '%s' && !document.querySelector('#jupyterlab-splash')" % ("false" if dark else "true"))

    def text(self, cell):
        """What stands below a code cell."""
        return self.js("(%s)[%d].outputArea.node.innerText" % (CODE, cell))

    def press_right(self, handle):
        self.js("document.querySelectorAll('.noUi-handle')[%d].focus(); 1" % handle)
        self.key("ArrowRight", 39)
