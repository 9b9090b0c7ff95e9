#!/bin/sh
# Reads a workbook of 100,000 rows with this package and with pandas' openpyxl
# reader, in turn, and compares processor time, which a busy machine changes less
# than the time on the clock. Needs Go, and Debian's python3-pandas and
# python3-openpyxl. Run from the top of the repository:
#
#     sh pkg/recording/bench/workbook.sh > pkg/recording/bench/workbook.txt
set -e
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
go build -o "$dir/bench" ./pkg/recording/bench
echo "command: sh pkg/recording/bench/workbook.sh"
echo "machine: $(nproc) processors, $(sed -n 's/^model name.*: //p' /proc/cpuinfo | head -1), $(go version | cut -d' ' -f3), load $(cut -d' ' -f1 /proc/loadavg)"
/usr/bin/python3 pkg/recording/bench/workbook.py write "$dir/n.xlsx" 100000
for run in 1 2 3; do
    "$dir/bench" read "$dir/n.xlsx"
    /usr/bin/python3 pkg/recording/bench/workbook.py read "$dir/n.xlsx"
done > "$dir/runs"
cat "$dir/runs"
awk '
    { for (i = 1; i < NF; i++) { if ($i == "CPU") cpu = $(i + 1); if ($i == "RSS") mem = $(i + 1) } }
    $1 == "recording" { if (!ours || cpu < ours) ours = cpu; if (mem > most) most = mem }
    $1 == "pandas" { if (!theirs || cpu < theirs) theirs = cpu; if (!least || mem < least) least = mem }
    END { printf "pandas takes %.1f times the processor time, and %.2f times the memory\n", theirs / ours, least / most }' "$dir/runs"
