# Counts the statements of vm/loop.go in a coverage profile ("file:from,to
# statements runs"), names those that no test runs, and fails below 95 %.

$1 ~ /\/vm\/loop\.go:/ {
	all += $2
	if ($3 > 0) {
		run += $2
	} else if ($2 > 0) {
		sub(/^.*\/loop\.go:/, "", $1)
		missed = missed "\nlines " $1 ": " $2
	}
}

END {
	if (all == 0) {
		print "there is no loop.go in the profile" > "/dev/stderr"
		exit 1
	}
	printf "The tests of package vm run %d of the %d statements of loop.go, %.1f %%.\n", run, all, 100 * run / all
	print "Written by make loop-coverage, which fails below 95 %."
	if (missed != "") {
		print "\nNot run (from, to: statements):" missed
	}
	exit run < 0.95 * all
}
