#!/bin/sh
# Reads files of 10^6 and 10^7 rows with this package and with pandas' C reader
# side by side, and compares processor time and memory, which a busy machine
# changes less than the time on the clock; then files of 10^4 to 10^7 rows to see
# that cost is linear. Needs Go, and Debian's python3-pandas. Run from the top of
# the repository:
#
#     sh pkg/recording/bench/compare.sh > pkg/recording/bench/result.txt
set -e
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
go build -o "$dir/bench" ./pkg/recording/bench
echo "command: sh pkg/recording/bench/compare.sh"
echo "machine: $(nproc) processors, $(sed -n 's/^model name.*: //p' /proc/cpuinfo | head -1), $(go version | cut -d' ' -f3), load $(cut -d" " -f1 /proc/loadavg)"
for rows in 1000000 10000000; do
    "$dir/bench" write "$dir/n.csv" $rows
    echo "$rows rows, $(wc -c < "$dir/n.csv") bytes; three runs each, in turn"
    for run in 1 2 3; do
        "$dir/bench" read "$dir/n.csv"
        GOMAXPROCS=1 "$dir/bench" read "$dir/n.csv" | sed 's/$/  (one processor)/'
        for way in parse_dates afterwards parts; do
            /usr/bin/python3 pkg/recording/bench/pandas_read.py "$dir/n.csv" $way
        done
    done > "$dir/runs"
    cat "$dir/runs"
    # Our least processor time and our most memory, and the best of pandas' ways
    # for each: the fastest, and the one that needs least memory.
    awk -v rows=$rows '
        { for (i = 1; i < NF; i++) { if ($i == "CPU") cpu = $(i + 1); if ($i == "RSS") mem = $(i + 1) } }
        $1 == "recording" { if (!ours || cpu < ours) ours = cpu; if (mem > most) most = mem }
        $1 == "pandas" { if (!theirs || cpu < theirs) theirs = cpu; if (!least || mem < least) least = mem }
        END { printf "%d rows: pandas takes %.2f times the processor time, and %.2f times the memory (its fastest way, its smallest)\n", rows, theirs / ours, least / most }' "$dir/runs"
done
rm "$dir/n.csv"
echo "cost against size"
for rows in 10000 100000 1000000 10000000; do
    "$dir/bench" write "$dir/n.csv" $rows
    "$dir/bench" read "$dir/n.csv"
done
