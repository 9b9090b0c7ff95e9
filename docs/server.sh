#!/bin/sh
# Makes a fresh Debian 12 into a server for a workshop: everybody has an account,
# the course, and a kernel that knows that it shares the machine.
#
#   sudo sh server.sh set-up [-program FILE] [-learners 20] [-address 127.0.0.1]
#                            [-port 8000] [-certificate FILE -key FILE]
#                            [-memory 1GB]
#                     installs what is missing, makes accounts; may be run again,
#                     and what is not said then stays as it was
#   sudo sh server.sh start    serves until it is stopped (set-up has systemd do it)
#   sudo sh server.sh grade    says who passed which exercise; the code of each
#                              learner runs with that learner's rights
#
# Names and passwords are in /root/bonnetbook-accounts.txt. Accounts that were
# there before, and what is in them, stay as they are.
set -eu

settings=/etc/bonnetbook
state=/var/lib/bonnetbook
found=/var/cache/bonnetbook
accounts=/root/bonnetbook-accounts.txt
learners_group=bonnetbook-learners
teachers_group=bonnetbook-teachers
program=/usr/local/bin/bonnetbook
itself=/usr/local/sbin/bonnetbook-server
packages="jupyterhub jupyter-notebook jupyter-nbextension-jupyter-js-widgets"

stop() {
    echo "server.sh: $*" >&2
    exit 1
}

wrong_use() {
    sed -n '2,/^set -eu/s/^# \{0,1\}//p' "$0" >&2
    exit 2
}

need_root() { [ "$(id -u)" = 0 ] || stop "this needs root: sudo sh $0 $*"; }

install_packages() {
    missing=
    for p in $packages; do
        dpkg-query -W -f '${Status}' "$p" 2>/dev/null | grep -q 'install ok installed' || missing="$missing $p"
    done
    [ -n "$missing" ] || return 0
    command -v apt-get >/dev/null 2>&1 || stop "this is no Debian: there is no apt-get. Install$missing by hand, then run this again"
    echo "Installing$missing"
    log=$(mktemp)
    # shellcheck disable=SC2086
    if ! { apt-get update && DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends $missing; } >"$log" 2>&1; then
        tail -n 5 "$log" >&2
        stop "apt-get failed (is there a network?); all of its words are in $log"
    fi
    rm -f "$log"
}

# install_program takes a given program, or the one that is there.
install_program() {
    if [ -n "$1" ]; then
        "$1" version >/dev/null 2>&1 || stop "$1 does not run on this machine; take the file for its system and processor"
        [ "$1" -ef "$program" ] || install -m 755 "$1" "$program"
    fi
    [ -x "$program" ] || stop "where is the program? Name it: -program ./bonnetbook-linux-amd64"
    install -m 755 "$0" "$itself.new"
    mv -f "$itself.new" "$itself"
}

password() { head -c 2000 /dev/urandom | tr -dc 'a-hjkmnp-z2-9' | head -c 9; }

# account makes a user of a group, with a home that only the user and the
# teacher can read: files made in it belong to the teacher's group.
account() {
    if id "$1" >/dev/null 2>&1; then
        id -nG "$1" | tr ' ' '\n' | grep -qx "$2" ||
            stop "there is a user $1 already who has nothing to do with this; choose a fresh machine"
    else
        useradd --create-home --skel /dev/null --user-group --groups "$2" --shell /usr/sbin/nologin "$1"
        word=$(password)
        echo "$1:$word" | chpasswd
        echo "$1 $word" >>"$accounts"
    fi
    chgrp "$teachers_group" "/home/$1"
    chmod 2750 "/home/$1"
    if [ ! -e "/home/$1/course" ]; then
        as "$1" "$program" course "/home/$1/course" >/dev/null
        as "$1" touch "/home/$1/.course-written" # what is newer is the learner's work
    fi
}

# as runs a command with a user's rights and surroundings.
as() {
    user=$1
    shift
    (cd "/home/$user" && umask 027 && exec runuser -u "$user" -- env -i HOME="/home/$user" USER="$user" PATH=/usr/local/bin:/usr/bin:/bin LANG=C.UTF-8 "$@")
}

learners() { getent group "$learners_group" | cut -d: -f4 | tr ',' '\n' | sort; }

make_accounts() {
    getent group "$learners_group" >/dev/null || groupadd "$learners_group"
    getent group "$teachers_group" >/dev/null || groupadd "$teachers_group"
    [ -e "$accounts" ] || (umask 077 && : >"$accounts")
    account teacher "$teachers_group"
    i=1
    while [ "$i" -le "$1" ]; do
        account "$(printf 'learner%02d' "$i")" "$learners_group"
        i=$((i + 1))
    done
    # The teacher opens the learners' folders in the notebook, and can't write there.
    as teacher mkdir -p course/learners
    for l in $(learners); do
        [ -e "/home/teacher/course/learners/$l" ] || as teacher ln -s "/home/$l/course" "course/learners/$l"
    done
}

# find_clocks finds the clocks of the course's own drives once, for everybody:
# that is most of the work of a notebook that compares. Kernels read them there,
# and find those of other drives as ever.
find_clocks() {
    work=$(mktemp -d)
    "$program" course "$work/course" >/dev/null
    rm -rf "$found.new"
    find "$work/course/testdata" -name campaign.toml | sort | while read -r f; do
        BONNETBOOK_CACHE=$found.new "$program" verdict "$(dirname "$f")" >/dev/null 2>"$work/words" ||
            { tail -n 2 "$work/words" >&2 && echo "server.sh: each kernel finds the clocks of ${f#"$work/course/"} by itself" >&2; }
    done
    if [ -d "$found.new" ]; then
        chmod -R u=rwX,go=rX "$found.new"
        rm -rf "$found"
        mv "$found.new" "$found"
    fi
    rm -rf "$work"
}

write_settings() {
    mkdir -p "$settings" && chmod 755 "$settings"
    mkdir -p "$state" && chmod 700 "$state"
    cat >"$settings/server.conf" <<END
# Written by "server.sh set-up"; the server reads it when it starts.
LEARNERS='$learners'
ADDRESS='$address'
PORT='$port'
MEMORY='$memory'
CERTIFICATE='$certificate'
KEY='$key'
END
    cat >"$settings/jupyterhub_config.py" <<'END'
# Written by "server.sh set-up". The settings are in server.conf beside it.
import grp
import os
import resource

from jupyterhub.spawner import LocalProcessSpawner

learners = grp.getgrnam("bonnetbook-learners").gr_mem
teachers = grp.getgrnam("bonnetbook-teachers").gr_mem


class Spawner(LocalProcessSpawner):
    """Starts a learner's notebook server with limits that it hands down."""

    def make_preexec_fn(self, name):
        become_user = super().make_preexec_fn(name)

        def prepare():
            for limit, most in (
                (resource.RLIMIT_NICE, 20),  # a kernel gives way, and may return
                (resource.RLIMIT_NPROC, 400),  # a cell that starts processes without end stops there
                (resource.RLIMIT_CORE, 0),
            ):
                try:
                    resource.setrlimit(limit, (most, most))
                except (OSError, ValueError):
                    pass  # a container may forbid it; the server works without
            become_user()
            os.umask(0o027)

        return prepare


c.JupyterHub.spawner_class = Spawner
c.JupyterHub.proxy_class = "jupyterhub.proxy.ConfigurableHTTPProxy"
c.JupyterHub.bind_url = "%s://%s:%s" % (
    "https" if os.environ["KEY"] else "http", os.environ["ADDRESS"], os.environ["PORT"])
c.JupyterHub.ssl_cert = os.environ["CERTIFICATE"]
c.JupyterHub.ssl_key = os.environ["KEY"]
c.JupyterHub.hub_ip = "127.0.0.1"
c.JupyterHub.db_url = "sqlite:////var/lib/bonnetbook/jupyterhub.sqlite"
c.JupyterHub.cookie_secret_file = "/var/lib/bonnetbook/cookie_secret"
c.ConfigurableHTTPProxy.pid_file = "/var/lib/bonnetbook/proxy.pid"
c.JupyterHub.concurrent_spawn_limit = 0  # everybody presses the button at nine
c.JupyterHub.init_spawners_timeout = 60

c.Authenticator.allowed_users = set(learners) | set(teachers)
c.Authenticator.admin_users = set(teachers)  # they may stop somebody's server
c.PAMAuthenticator.open_sessions = False

c.Spawner.notebook_dir = "~/course"
c.Spawner.default_url = "/tree/notebooks"
c.Spawner.start_timeout = 300
c.Spawner.http_timeout = 300
c.Spawner.environment = {
    "JUPYTERHUB_SINGLEUSER_APP": "notebook.notebookapp.NotebookApp",
    "BONNETBOOK_SHARED": str(max(1, len(learners))),
    "BONNETBOOK_CACHE_SHARED": "/var/cache/bonnetbook",  # clocks that set-up has found
    "LANG": "C.UTF-8",
}
if os.environ["MEMORY"]:
    c.Spawner.environment["BONNETBOOK_MEMORY"] = os.environ["MEMORY"]
c.Spawner.args = [
    # Sockets of a kernel are files in the learner's home: a port of this
    # machine would be open to everybody on it.
    "--KernelManager.transport=ipc",
    "--KernelSpecManager.ensure_native_kernel=False",
    "--KernelSpecManager.allowed_kernelspecs={'bonnetbook'}",
    "--NotebookApp.terminals_enabled=False",
]
END
    # Debian's unit starts the hub with Debian's settings, for everybody on the
    # network; this goes before, so it never does.
    mkdir -p /etc/systemd/system/jupyterhub.service.d
    cat >/etc/systemd/system/jupyterhub.service.d/bonnetbook.conf <<END
[Service]
WorkingDirectory=$state
ExecStart=
ExecStart=$itself start
END
}

set_up() {
    LEARNERS=20 ADDRESS=127.0.0.1 PORT=8000 CERTIFICATE='' KEY='' MEMORY='' from=''
    [ ! -r "$settings/server.conf" ] || . "$settings/server.conf" # what was said before
    learners=$LEARNERS address=$ADDRESS port=$PORT certificate=$CERTIFICATE key=$KEY memory=$MEMORY
    while [ $# -gt 0 ]; do
        [ $# -ge 2 ] || wrong_use
        case $1 in
        -learners) learners=$2 ;;
        -address) address=$2 ;;
        -port) port=$2 ;;
        -certificate) certificate=$2 ;;
        -key) key=$2 ;;
        -memory) memory=$2 ;;
        -program) from=$2 ;;
        *) wrong_use ;;
        esac
        shift 2
    done
    case $learners in '' | *[!0-9]* | 0) stop "-learners is a number, for example 20" ;; esac
    [ "$learners" -le 99 ] || stop "-learners is at most 99"
    [ -z "$certificate$key" ] || { [ -r "$certificate" ] && [ -r "$key" ]; } || stop "a certificate needs its key, and both must be readable: -certificate FILE -key FILE"
    if [ -n "$key" ]; then # the server works in another folder
        certificate=$(realpath -s "$certificate") key=$(realpath -s "$key")
    fi
    case $address$port$certificate$key$memory in *\'*) stop "server.conf can't hold a single quote; rename the file" ;; esac
    need_root set-up
    install_program "$from"
    write_settings
    install_packages
    "$program" install --prefix /usr/local >/dev/null
    make_accounts "$learners"
    find_clocks
    if [ -d /run/systemd/system ]; then
        systemctl daemon-reload
        systemctl enable --quiet jupyterhub.service
        systemctl restart jupyterhub.service
        echo "The server runs, and starts with the machine."
    else
        echo "There is no systemd here; start the server by: $itself start"
    fi
    echo "Learners open $([ -n "$key" ] && echo https || echo http)://$address:$port; names and passwords are in $accounts."
    case $address in
    127.*) echo "Only this machine can reach it. For the room: set-up -address 0.0.0.0, with -certificate and -key unless nobody else is in that network." ;;
    esac
}

start() {
    need_root start
    [ -r "$settings/server.conf" ] || stop "run set-up first"
    . "$settings/server.conf"
    export ADDRESS PORT CERTIFICATE KEY MEMORY
    cd "$state"
    exec /usr/bin/python3 -m jupyterhub.app --upgrade-db -f "$settings/jupyterhub_config.py"
}

grade() {
    need_root grade
    for l in $(learners); do
        echo "$l"
        # What a learner wrote runs as that learner.
        as "$l" find course/notebooks -maxdepth 1 -name '*.ipynb' -newer .course-written -exec bonnetbook grade {} + 2>&1 | sed 's/^/  /'
    done
}

[ $# -ge 1 ] || wrong_use
word=$1
shift
case $word in
set-up) set_up "$@" ;;
start) start ;;
grade) grade ;;
*) wrong_use ;;
esac
