#!/usr/bin/env python3
"""server.sh on a machine that boots with systemd: set-up enables and starts the
server's unit, it is started again when it dies, and with the machine.

Run by a unit of its own inside a machine that is thrown away (make classroom-boot),
which is booted twice: the first time it sets up, the second time it looks. Prints
what holds to /brought/booted.txt.
"""
import asyncio
import importlib
import os
import subprocess
import sys
import time

import requests

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
room = importlib.import_module("class")  # a word of the language's own
UNIT, SET_UP = "jupyterhub.service", "/var/lib/bonnetbook/set-up-when-booted"


def systemctl(*words):
    return subprocess.run(("systemctl",) + words, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, timeout=120).stdout.strip()


class Running:
    """Stands for the hub's process, of which systemd takes care."""

    def poll(self):
        return None


def learner():
    with open("/root/bonnetbook-accounts.txt") as f:
        users = [room.User(*line.split()) for line in f]
    return next(u for u in users if u.name == "learner01")


async def comparison(user):
    await user.run_all()
    await user.stop()


def lesson(what):
    room.wait_for_hub(Running())
    user = learner()
    user.log_in()
    asyncio.run(comparison(user))
    room.must(True, "a learner logs in and runs the comparison notebook " + what)


def first():
    r = subprocess.run(["sh", "/brought/server.sh", "set-up", "-learners", "3"], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, timeout=600)
    room.must(r.returncode == 0 and "starts with the machine" in r.stdout, "set-up on a machine with systemd%s" % ("" if r.returncode == 0 else ": " + r.stdout))
    room.must(systemctl("is-enabled", UNIT) == "enabled", "its unit is enabled")
    lesson("on the server that systemd has started")
    pid = systemctl("show", "-p", "MainPID", "--value", UNIT)
    os.kill(int(pid), 9)
    end = time.monotonic() + 120
    while systemctl("show", "-p", "MainPID", "--value", UNIT) in ("0", pid) and time.monotonic() < end:
        time.sleep(0.5)
    lesson("after the server was killed and started again by systemd")
    open(SET_UP, "w").close()


def second():
    room.must(systemctl("is-active", UNIT) == "active", "after the machine's next start the server runs by itself")
    lesson("there")
    room.must(systemctl("is-failed", UNIT) != "failed", "its unit has not failed")
    systemctl("stop", UNIT)
    try:
        requests.get(room.HUB, timeout=20)
        room.must(False, "when the unit is stopped nothing is served")
    except requests.ConnectionError:
        room.must(True, "when the unit is stopped nothing is served")


def main():
    try:
        (second if os.path.exists(SET_UP) else first)()
        end = "done"
    except Exception as err:  # whatever it is, it is to be told outside
        end = "FAILS  %r" % err
    with open("/brought/booted.txt", "a") as f:
        f.writelines(line + "\n" for line in room.said + [end])
    os.sync()
    systemctl("poweroff", "--force")


if __name__ == "__main__":
    main()
