#!/usr/bin/env python3
"""Serves the JupyterLab that is built in this folder, on this machine alone.

Debian: jupyter-server python3-jupyterlab-server.
"""
import json
import os
import sys

from jupyterlab_server import LabServerApp

HERE = os.path.dirname(os.path.abspath(__file__))
WORK = os.environ["BONNETBOOK_LAB_STATE"]  # a folder for settings and layouts of windows


with open(os.path.join(HERE, "node_modules/@jupyterlab/core-meta/core.package.json")) as f:
    VERSION = json.load(f)["version"]


class Lab(LabServerApp):
    name = "lab"
    app_name = "JupyterLab"
    app_version = VERSION
    app_url = extension_url = default_url = "/lab"
    load_other_extensions = False
    static_dir = os.path.join(HERE, "build")
    templates_dir = os.path.join(HERE, "templates")
    schemas_dir = os.path.join(HERE, "build", "schemas")
    themes_dir = os.path.join(HERE, "build", "themes")
    app_settings_dir = os.path.join(WORK, "app")
    user_settings_dir = os.path.join(WORK, "settings")
    workspaces_dir = os.path.join(WORK, "workspaces")


def _jupyter_server_extension_points():
    return [{"module": __name__, "app": Lab}]


if __name__ == "__main__":
    Lab.launch_instance(sys.argv[1:])
