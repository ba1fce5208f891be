#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Instructions of one cold point solve and of one evaluation of its network, mean over the six ranges, as JSON. Start-up drops
# out as the difference of two runs. Run in the project's folder: sh tests/bench/instructions.sh [PROGRAM]
set -eu
program=${1:-build/tests/bench/jetwright_bench}
few=10 many=60 ranges=6

command -v valgrind >/dev/null || { echo "SKIP: valgrind is not installed"; exit 77; }

# WORK COUNT
count() {
	valgrind --tool=callgrind --callgrind-out-file=/dev/null "$program" --only "$1" "$2" 2>&1 |
		awk '/Collected/ { found = $NF } END { if (found == "") exit 1; print found }'
}

# WORK
each() {
	low=$(count "$1" $few)
	high=$(count "$1" $many)
	echo $(((high - low) / ((many - few) * ranges)))
}

point=$(each point)
near=$(each near)
network=$(each network)
awk -v p="$point" -v b="$near" -v n="$network" 'BEGIN {
	printf "{\n\t\"point_instructions\": %d,\n\t\"near_instructions\": %d,\n\t\"network_instructions\": %d,\n", p, b, n
	printf "\t\"instruction_ratio\": %.4g,\n\t\"near_instruction_ratio\": %.4g\n}\n", p / n, b / n }'
