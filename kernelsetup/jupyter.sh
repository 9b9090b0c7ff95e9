#!/bin/sh
# Finds Jupyter, or installs it from Debian's packages where that is possible,
# or says exactly how to install it by hand.
#
#   jupyter.sh find        print the jupyter command, empty if there is none
#   jupyter.sh need        make sure that the notebook is there, and its sliders
#                          if they can be had
#   jupyter.sh need-tests  make sure that what the tests drive is there too
#   jupyter.sh need-frontends  and a browser with the notebook's widgets
#   jupyter.sh need-lab    and a server for JupyterLab, which npm brings
#
# Status 0: it is there; 1: it can't be installed; 2: wrong use. Without the
# sliders a notebook works, so they alone never stop anything.
set -u

notebook="jupyter-notebook jupyter-client jupyter-core jupyter-nbconvert"
sliders="jupyter-nbextension-jupyter-js-widgets"
tests="python3-nbclient python3-ipykernel python3-jupyter-kernel-test jupyter-console"
lab="jupyter-server python3-jupyterlab-server"

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

# have_sliders looks for the part of the widgets that runs in the browser, in
# all folders where this Jupyter looks: for the classic notebook, then for the
# newer front ends.
have_sliders() {
    "$(find_jupyter)" --paths 2>/dev/null | sed -n '/^data:/,$s/^ *\(\/.*\)/\1/p' | {
        while read -r d; do
            [ -e "$d/nbextensions/jupyter-js-widgets/extension.js" ] && exit 0
            [ -d "$d/labextensions/@jupyter-widgets/jupyterlab-manager" ] && exit 0
        done
        exit 1
    }
}

# missing_frontends names the packages of what is missing for the front ends.
# Debian's npm can't be installed beside a Node.js from elsewhere, which brings
# its own: nothing that is there is asked for.
missing_frontends() {
    have_tests || echo "$notebook $tests"
    have_sliders || echo "$sliders"
    /usr/bin/python3 -c 'import PIL' 2>/dev/null || echo python3-pil
    have_one_of chromium chromium-browser google-chrome || echo chromium
    have_one_of npm || echo npm
}

have_one_of() {
    for c in "$@"; do
        command -v "$c" >/dev/null 2>&1 && return 0
    done
    return 1
}

have_lab() {
    /usr/bin/python3 -c 'import jupyterlab_server' 2>/dev/null
}

# install_all installs packages, if any are named.
install_all() {
    [ $# = 0 ] || install "$@"
}

# cannot_install says in a few words why Debian's packages can't be installed.
cannot_install() {
    if ! command -v apt-get >/dev/null 2>&1; then
        echo "there is no apt-get"
    elif [ "$(id -u)" != 0 ]; then
        echo "that needs root"
    else
        return 1
    fi
}

# apt_install installs packages, and shows the end of apt-get's words if that
# fails.
apt_install() {
    log=$(mktemp)
    if { apt-get update && DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends "$@"; } >"$log" 2>&1; then
        rm -f "$log"
        return 0
    fi
    tail -n 5 "$log" >&2
    rm -f "$log"
    return 1
}

by_hand() {
    echo "Jupyter is missing and can't be installed from here: $1." >&2
    echo "Install it by hand, then run the same command again. On Debian or Ubuntu:" >&2
    echo "    sudo apt-get update && sudo apt-get install --no-install-recommends $2" >&2
    echo "On other systems, with Python 3:" >&2
    echo "    python3 -m venv ~/jupyter && ~/jupyter/bin/pip install notebook ipywidgets nbconvert nbclient ipykernel jupyter_kernel_test jupyter-console" >&2
    echo "    export PATH=~/jupyter/bin:\$PATH" >&2
    echo "Without Jupyter, 'make report' still runs all notebooks and 'make test-go' all other tests." >&2
    exit 1
}

install() {
    why=$(cannot_install) && by_hand "$why" "$*"
    apt_install "$@" || by_hand "apt-get failed (is there a network?)" "$*"
}

# want_sliders installs the sliders beside a Jupyter that has none, or says
# how, and goes on.
want_sliders() {
    have_sliders && return 0
    j=$(find_jupyter)
    # The first line of the jupyter script names its Python.
    python=$(sed -n '1s/^#! *\([^ ]*python[^ ]*\).*/\1/p' "$j" 2>/dev/null)
    how="${python:-python3} -m pip install ipywidgets"
    case $(readlink -f "$j") in
    /usr/bin/*)
        how="sudo apt-get update && sudo apt-get install --no-install-recommends $sliders"
        why=$(cannot_install) || {
            apt_install "$sliders" && have_sliders && return 0
            why="apt-get failed (is there a network?)"
        }
        ;;
    *) why="this Jupyter, $j, is not the system's" ;;
    esac
    echo "note: the sliders' front end can't be installed from here: $why." >&2
    echo "Until it is there, sliders and choices show as plain values; all else works. To have them:" >&2
    echo "    $how" >&2
}

case "${1:-}" in
find) find_jupyter || true ;;
need)
    # shellcheck disable=SC2086
    find_jupyter >/dev/null || install $notebook $sliders
    want_sliders
    ;;
need-tests)
    # shellcheck disable=SC2086
    have_tests || install $notebook $tests
    ;;
need-frontends)
    # shellcheck disable=SC2046
    install_all $(missing_frontends)
    ;;
need-lab)
    # shellcheck disable=SC2046
    install_all $(missing_frontends; have_lab || echo "$lab")
    ;;
*) echo "usage: jupyter.sh find|need|need-tests|need-frontends|need-lab" >&2; exit 2 ;;
esac
