#!/bin/sh
# Finds Jupyter, or installs it from Debian's packages where that is possible,
# or says exactly how to install it by hand.
#
#   jupyter.sh find        print the jupyter command, empty if there is none
#   jupyter.sh need        make sure that the notebook is there
#   jupyter.sh need-tests  make sure that what the tests drive is there too
#   jupyter.sh need-frontends  and a browser with the notebook's widgets
set -u

notebook="jupyter-notebook jupyter-client jupyter-core jupyter-nbconvert"
tests="python3-nbclient python3-ipykernel python3-jupyter-kernel-test jupyter-console"

frontends="$tests python3-ipywidgets jupyter-nbextension-jupyter-js-widgets chromium"

find_jupyter() {
    for c in /usr/bin/jupyter "$(command -v jupyter 2>/dev/null)"; do
        if [ -n "$c" ] && [ -x "$c" ] && "$c" notebook --version >/dev/null 2>&1; then
            echo "$c"
            return 0
        fi
    done
    return 1
}

have_tests() {
    for p in /usr/bin/python3 python3; do
        "$p" -c 'import nbclient, jupyter_client, ipykernel, jupyter_kernel_test' 2>/dev/null && return 0
    done
    return 1
}

have_browser() {
    command -v chromium >/dev/null 2>&1 && [ -d /usr/share/jupyter/nbextensions/jupyter-js-widgets ]
}

by_hand() {
    echo "Jupyter is missing and can't be installed from here: $1." >&2
    echo "Install it by hand, then run the same command again. On Debian or Ubuntu:" >&2
    echo "    sudo apt-get update && sudo apt-get install --no-install-recommends $2" >&2
    echo "On other systems, with Python 3:" >&2
    echo "    python3 -m venv ~/jupyter && ~/jupyter/bin/pip install notebook nbconvert nbclient ipykernel jupyter_kernel_test jupyter-console" >&2
    echo "    export PATH=~/jupyter/bin:\$PATH" >&2
    echo "Without Jupyter, 'make report' still runs all notebooks and 'make test-go' all other tests." >&2
    exit 1
}

install() {
    command -v apt-get >/dev/null 2>&1 || by_hand "there is no apt-get" "$1"
    [ "$(id -u)" = 0 ] || by_hand "that needs root" "$1"
    log=$(mktemp)
    # shellcheck disable=SC2086
    if { apt-get update && DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends $1; } >"$log" 2>&1; then
        rm -f "$log"
        return 0
    fi
    tail -n 5 "$log" >&2
    rm -f "$log"
    by_hand "apt-get failed (is there a network?)" "$1"
}

case "${1:-}" in
find) find_jupyter || true ;;
need) find_jupyter >/dev/null || install "$notebook" ;;
need-tests) have_tests || install "$notebook $tests" ;;
need-frontends) have_tests && have_browser || install "$notebook $frontends" ;;
*) echo "usage: jupyter.sh find|need|need-tests|need-frontends" >&2; exit 2 ;;
esac
