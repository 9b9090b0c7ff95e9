#!/bin/sh
# A fresh Debian to try things on that need one: a folder made by debootstrap,
# and a scratch copy of it that is thrown away. Nothing of the machine around it
# is changed.
#
#   fresh.sh need                     says what is missing for it, status 1
#   fresh.sh new LAYER                a scratch copy, fresh
#   fresh.sh with-network LAYER CMD…  runs a command in it, as root
#   fresh.sh alone LAYER CMD…         the same without any network but its own
#                                     loopback; ends all that it leaves running
#   fresh.sh boot LAYER               starts its systemd as a machine does, without
#                                     a network, until it powers off
#
# In it the folder of the program is /brought; the command's folder is /root.
set -eu

here=$(cd "$(dirname "$0")/../.." && pwd)
suite=${SUITE:-bookworm}
base=$here/build/fresh/$suite

need() {
    why=
    [ "$(uname -s)" = Linux ] || why="it is for Linux alone"
    [ -n "$why" ] || [ "$(id -u)" = 0 ] || why="it needs root, for debootstrap and the folders that it mounts"
    [ -n "$why" ] || command -v debootstrap >/dev/null 2>&1 || why="debootstrap is missing; on Debian: apt-get install debootstrap"
    [ -n "$why" ] || command -v ip >/dev/null 2>&1 || why="ip is missing; on Debian: apt-get install iproute2"
    [ -n "$why" ] || unshare --mount --pid --net --fork true 2>/dev/null || why="this machine allows no name spaces of its own (unshare): a container needs more rights for it"
    [ -n "$why" ] || grep -qw overlay /proc/filesystems || modprobe overlay 2>/dev/null || why="the system has no overlay file system"
    [ -z "$why" ] || {
        echo "A fresh Debian can't be made here: $why." >&2
        exit 1
    }
}

make_base() {
    [ ! -e "$base.made" ] || return 0
    rm -rf "$base"
    mkdir -p "$base"
    echo "Making a fresh Debian ($suite) once, in ${base#"$here"/}" >&2
    unshare --mount debootstrap --variant=minbase --include=ca-certificates "$suite" "$base" ${MIRROR:+"$MIRROR"} >"$base.log" 2>&1 || {
        tail -n 3 "$base.log" >&2
        echo "debootstrap failed (is there a network?); all of its words are in $base.log" >&2
        exit 1
    }
    touch "$base.made"
}

# enter mounts a layer; the caller has given it name spaces.
enter() {
    layer=$here/build/fresh/$1
    root=$layer/root
    mount --make-rprivate /
    mount -t overlay overlay -o "lowerdir=$base,upperdir=$layer/upper,workdir=$layer/work" "$root"
    mount -t proc proc "$root/proc"
    mount -t tmpfs tmpfs "$root/dev"
    for d in null zero full random urandom tty; do
        : >"$root/dev/$d"
        mount --bind "/dev/$d" "$root/dev/$d"
    done
    ln -s /proc/self/fd "$root/dev/fd"
    mkdir "$root/dev/shm" "$root/dev/pts"
    mount -t tmpfs -o mode=1777 tmpfs "$root/dev/shm"
    mount -t tmpfs -o mode=1777 tmpfs "$root/tmp"
    mkdir -p "$root/brought"
    mount --bind "$layer/brought" "$root/brought"
    ip link set lo up
    cd "$root"
}

# inside runs a command in a layer.
inside() {
    enter "$1"
    shift
    mkdir -p "$here/build/fresh/packages/partial"
    mount --bind "$here/build/fresh/packages" "$root/var/cache/apt/archives"
    [ ! -e /etc/resolv.conf ] || cat /etc/resolv.conf >"$root/etc/resolv.conf"
    exec chroot . env -i HOME=/root PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin LANG=C.UTF-8 \
        DEBIAN_FRONTEND=noninteractive sh -c 'cd /root && exec "$@"' sh "$@"
}

# booted starts the layer's own systemd as process 1.
booted() {
    enter "$1"
    mount -t sysfs -o ro sysfs "$root/sys"
    mount -t tmpfs tmpfs "$root/sys/fs/cgroup"
    mount -t cgroup2 cgroup2 "$root/sys/fs/cgroup"
    mount -t devpts -o newinstance,ptmxmode=0666 devpts "$root/dev/pts"
    ln -s pts/ptmx "$root/dev/ptmx"
    mount -t tmpfs -o mode=755 tmpfs "$root/run"
    exec chroot . env -i container=bonnetbook PATH=/usr/sbin:/usr/bin:/sbin:/bin /lib/systemd/systemd --log-level=warning
}

# boot gives it a control group of its own, below the one that this runs in.
boot() {
    groups=$(awk '$3 == "cgroup2" { print $2; exit }' /proc/mounts)
    [ -n "$groups" ] || { echo "A machine can't be booted here: no control groups of version 2 are mounted." >&2; exit 1; }
    group=$groups$(sed -n 's/^0:://p' /proc/self/cgroup)/bonnetbook-boot
    mkdir -p "$group"
    sh -c 'echo $$ >"$1/cgroup.procs" && shift && exec "$@"' sh "$group" \
        unshare --mount --pid --net --ipc --uts --cgroup --fork --kill-child sh "$0" booted "$1" || true # it ends by its own power-off
    find "$group" -depth -type d -exec rmdir {} + 2>/dev/null || true
}

[ $# -ge 1 ] || { sed -n '5,14p' "$0" >&2; exit 2; }
what=$1
shift
case $what in
need) need ;;
new)
    need
    make_base
    rm -rf "$here/build/fresh/$1"
    mkdir -p "$here/build/fresh/$1/upper" "$here/build/fresh/$1/work" "$here/build/fresh/$1/root" "$here/build/fresh/$1/brought"
    ;;
with-network) exec unshare --mount --pid --fork --kill-child sh "$0" inside "$@" ;;
alone) exec unshare --mount --pid --net --ipc --fork --kill-child sh "$0" inside "$@" ;;
inside) inside "$@" ;;
boot) boot "$@" ;;
booted) booted "$@" ;;
*) echo "fresh.sh: $what?" >&2; exit 2 ;;
esac
