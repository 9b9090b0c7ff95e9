#!/bin/sh
# Reads one file of 5 million rows with this package and with pandas' C reader
# side by side, then files of 10^4 to 10^7 rows to see that cost is linear.
# Needs Go, and Debian's python3-pandas. Run from the top of the repository:
#
#     sh pkg/recording/bench/compare.sh > pkg/recording/bench/result.txt
set -e
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
go build -o "$dir/bench" ./pkg/recording/bench
echo "command: sh pkg/recording/bench/compare.sh"
echo "machine: $(nproc) processors, $(sed -n 's/^model name.*: //p' /proc/cpuinfo | head -1), $(go version | cut -d' ' -f3)"
"$dir/bench" write "$dir/five.csv" 5000000
echo "5 million rows, $(wc -c < "$dir/five.csv") bytes; three runs each, in turn"
for run in 1 2 3; do
    "$dir/bench" read "$dir/five.csv"
    GOMAXPROCS=1 "$dir/bench" read "$dir/five.csv" | sed 's/$/  (one processor)/'
    for way in parse_dates afterwards parts; do
        /usr/bin/python3 pkg/recording/bench/pandas_read.py "$dir/five.csv" $way
    done
done
rm "$dir/five.csv"
echo "cost against size"
for rows in 10000 100000 1000000 10000000; do
    "$dir/bench" write "$dir/n.csv" $rows
    "$dir/bench" read "$dir/n.csv"
done
