#!/bin/sh
# Tries what the program promises to those who have no Go, on a fresh Debian that
# is thrown away.
#
#   try.sh server PROGRAM    a class of twenty on one server
#   try.sh booted PROGRAM    the same server on a machine that boots with systemd
#   try.sh one-file PROGRAM  the course from one file, on somebody's own machine
set -eu

here=$(dirname "$0")
fresh() { sh "$here/fresh.sh" "$@"; }
brought=$here/../../build/fresh/$1/brought

# Two processors are what the figures are for; a larger machine lends two.
two=$([ "$(nproc)" -gt 2 ] && echo "taskset -c 0,1" || true)

case $1 in
server)
    fresh new server
    cp "$2" "$brought/bonnetbook"
    cp "$here/../../docs/server.sh" "$here/class.py" "$brought/"
    # Twice in a row, since it may be run again.
    for _ in 1 2; do
        fresh with-network server sh /brought/server.sh set-up -program /brought/bonnetbook -learners "${LEARNERS:-20}"
    done
    status=0
    # shellcheck disable=SC2086
    $two timeout -k 10 "${SECONDS_AT_MOST:-1500}" sh "$here/fresh.sh" alone server \
        sh -c 'python3 /brought/class.py --learners "$@"; s=$?; cp hub.log /brought/; exit $s' sh "${LEARNERS:-20}" ${FIRST:+--first} || status=$?
    [ -z "${STORE:-}" ] || cp "$brought/classroom.txt" "$here/classroom.txt"
    exit "$status"
    ;;
booted)
    fresh new booted
    cp "$2" "$brought/bonnetbook"
    cp "$here/../../docs/server.sh" "$here/class.py" "$here/booted.py" "$brought/"
    fresh with-network booted sh -c 'apt-get update >/dev/null && apt-get install -y --no-install-recommends systemd systemd-sysv dbus >/dev/null 2>&1 &&
        sh /brought/server.sh set-up -program /brought/bonnetbook -learners 2 &&
        printf "[Service]\nType=oneshot\nTimeoutStartSec=1200\nExecStart=/usr/bin/python3 /brought/booted.py\n" >/etc/systemd/system/look.service &&
        mkdir -p /etc/systemd/system/multi-user.target.wants && ln -sf ../look.service /etc/systemd/system/multi-user.target.wants/'
    for _ in 1 2; do
        timeout -s KILL "${SECONDS_AT_MOST:-1500}" sh "$here/fresh.sh" boot booted
    done
    cat "$brought/booted.txt"
    [ "$(grep -c '^done$' "$brought/booted.txt")" = 2 ] && ! grep -q '^FAILS' "$brought/booted.txt"
    ;;
one-file)
    fresh new one-file
    cp "$2" "$brought/bonnetbook"
    cp "$here/one_file.py" "$here/../frontends/chromium.py" "$brought/"
    chmod 755 "$brought/bonnetbook"
    fresh with-network one-file sh -c 'log=$(mktemp)
        { apt-get update && apt-get install -y --no-install-recommends jupyter-notebook jupyter-nbextension-jupyter-js-widgets chromium &&
          useradd --create-home learner; } >"$log" 2>&1 || { tail -n 5 "$log" >&2; exit 1; }'
    timeout -k 10 "${SECONDS_AT_MOST:-1500}" sh "$here/fresh.sh" alone one-file \
        runuser -u learner -- env HOME=/home/learner PYTHONPATH=/brought PYTHONDONTWRITEBYTECODE=1 python3 /brought/one_file.py /brought/bonnetbook
    ;;
*)
    sed -n '5,7p' "$0" >&2
    exit 2
    ;;
esac
