#!/bin/sh
# Says which Go toolchain to build with. go-releases.txt lists the releases
# that the kernel is fitted to, each with a toolchain, the pinned one first.
#
#	toolchain.sh choose GO     what make takes: nothing where the command GO is
#	                           of a release in the list, else the pinned toolchain
#	toolchain.sh pinned        the pinned toolchain
#	toolchain.sh others GO     the listed toolchains of other releases than GO's
#	toolchain.sh need NAME     downloads a toolchain, or says what to do
set -eu

list=$(dirname "$0")/go-releases.txt
listed() { awk '!/^#/ && NF == 2' "$list"; }
pinned=$(listed | awk 'NR == 1 { print $2 }')

# release prints "1.26" for a command of go1.26.8, nothing for one that does
# not say, as those older than go.mod wants that may not be replaced.
release() {
	"$1" env GOVERSION 2>/dev/null | sed -n 's/.*go\(1\.[0-9][0-9]*\).*/\1/p'
}

case $1 in
choose)
	command -v "$2" >/dev/null 2>&1 || exit 0 # the recipe says so
	have=$(release "$2")
	if ! listed | awk -v have="$have" '$1 == have { found = 1 } END { exit !found }'; then
		echo "Go ${have:-in this version} is not a release that the kernel is fitted to: building with $pinned, which the go command downloads once." >&2
		echo "$pinned"
	fi
	;;
pinned)
	echo "$pinned"
	;;
others)
	have=$(release "$2")
	listed | awk -v have="$have" '$1 != have { print $2 }'
	;;
need)
	GOTOOLCHAIN=$2 "${GO:-go}" version >/dev/null || {
		echo "The toolchain $2 could not be downloaded. It comes from the Go module proxy: allow it (go env GOPROXY, GOSUMDB), or install $2 from https://go.dev/dl and put it first on the PATH." >&2
		exit 1
	}
	;;
esac
