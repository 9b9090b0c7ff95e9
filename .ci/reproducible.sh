#!/bin/sh
# Builds the last commit twice, in two folders, the second time without what
# the first left in the build cache, and compares every byte of dist/.
set -eu
systems=$1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT INT TERM
first=$work/a
second="$work/another folder/of a longer name"
for folder in "$first" "$second"; do
    git clone -q . "$folder"
done
(cd "$first" && make dist SYSTEMS="$systems")
(cd "$second" && GOCACHE=$work/cache make dist SYSTEMS="$systems")
diff -r "$first/dist" "$second/dist"
cat "$first/dist/SHA256SUMS"
echo "both builds are the same, byte by byte"
