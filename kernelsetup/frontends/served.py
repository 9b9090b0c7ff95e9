"""A server on this machine, for as long as tests need it."""
import os
import socket
import subprocess
import time
import urllib.request


class Server:
    """A Jupyter server on a free port, which answers from the beginning."""

    def __init__(self, command, log=subprocess.DEVNULL, **environment):
        """command makes the arguments for a port."""
        with socket.socket() as s:
            s.bind(("127.0.0.1", 0))
            self.port = s.getsockname()[1]
        self.process = subprocess.Popen(command(self.port), stdout=log, stderr=log, env=dict(os.environ, **environment))
        end = time.time() + 60
        while True:
            try:
                urllib.request.urlopen("http://127.0.0.1:%d/api" % self.port).close()
                return
            except OSError:
                if time.time() > end:
                    raise
                time.sleep(0.1)

    def close(self):
        self.process.terminate()
        self.process.wait()
