"""Drives a headless Chromium over its DevTools protocol, with what Jupyter
brings along (tornado), so that no further browser driver is needed."""
import asyncio
import base64
import json
import os
import shutil
import subprocess
import tempfile
import time
import urllib.request

from tornado.websocket import websocket_connect


def find():
    for name in ("chromium", "chromium-browser", "google-chrome"):
        path = shutil.which(name)
        if path:
            return path
    return None


class Page:
    """One page of a browser that has no network but this machine."""

    def __init__(self, url, width=1100, height=1400):
        self.dir = tempfile.mkdtemp(prefix="browser")
        self.process = subprocess.Popen(
            [find(), "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
             "--disable-background-networking", "--disable-component-update", "--disable-default-apps",
             "--disable-sync", "--no-first-run", "--remote-debugging-port=0", "--user-data-dir=" + self.dir,
             "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
             "--window-size=%d,%d" % (width, height), "about:blank"],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        self.loop = asyncio.new_event_loop()
        self.id = 0
        self.log = []
        self.loop.run_until_complete(self._connect())
        self.command("Page.enable")
        self.command("Runtime.enable")
        self.command("Page.navigate", url=url)

    async def _connect(self):
        port_file = os.path.join(self.dir, "DevToolsActivePort")
        end = time.time() + 20
        port = None
        while not port:
            if time.time() > end:
                raise TimeoutError("the browser did not start")
            await asyncio.sleep(0.05)
            if os.path.exists(port_file):
                with open(port_file) as f:
                    port = (f.read().split() or [None])[0]
        with urllib.request.urlopen("http://127.0.0.1:%s/json/list" % port) as r:
            pages = [p for p in json.load(r) if p["type"] == "page"]
        self.socket = await websocket_connect(pages[0]["webSocketDebuggerUrl"], max_message_size=1 << 28)

    def command(self, method, **params):
        return self.loop.run_until_complete(asyncio.wait_for(self._command(method, params), 60))

    async def _command(self, method, params):
        self.id += 1
        await self.socket.write_message(json.dumps({"id": self.id, "method": method, "params": params}))
        while True:
            m = json.loads(await self.socket.read_message())
            if m.get("id") == self.id:
                if "error" in m:
                    raise RuntimeError(m["error"]["message"])
                return m["result"]
            if m.get("method") in ("Runtime.consoleAPICalled", "Runtime.exceptionThrown"):
                self.log.append(json.dumps(m["params"])[:500])

    def js(self, expression):
        """Evaluates JavaScript and returns its value."""
        r = self.command("Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in r:
            raise RuntimeError(json.dumps(r["exceptionDetails"])[:1000])
        return r["result"].get("value")

    def wait(self, condition, timeout=60):
        """Waits until a JavaScript condition is true."""
        end = time.time() + timeout
        while True:
            try:
                if self.js(condition):
                    return
            except RuntimeError:
                pass
            if time.time() > end:
                raise TimeoutError("never true: " + condition)
            time.sleep(0.1)

    def picture(self, path, **part):
        data = self.command("Page.captureScreenshot", format="png", **part)["data"]
        with open(path, "wb") as f:
            f.write(base64.b64decode(data))

    def key(self, name, code):
        for kind in ("keyDown", "keyUp"):
            self.command("Input.dispatchKeyEvent", type=kind, key=name, code=name,
                         windowsVirtualKeyCode=code, nativeVirtualKeyCode=code)

    def close(self):
        if self.loop.is_closed():
            return
        try:
            self.command("Browser.close")
        except Exception:
            self.process.terminate()
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
        for task in asyncio.all_tasks(self.loop):
            task.cancel()
        self.loop.run_until_complete(asyncio.sleep(0.05))
        self.loop.close()
        shutil.rmtree(self.dir, ignore_errors=True)
