#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Instructions of one point solve, cold and near, of a map's point, and of one evaluation of the network, mean over the six
# ranges, as JSON. Start-up drops out as the difference of two runs. Run in the project's folder: sh tests/bench/instructions.sh [PROGRAM]
set -eu
program=${1:-build/tests/bench/jetwright_bench}
few=10 many=60 ranges=6 map_points=300

command -v valgrind >/dev/null || { echo "SKIP: valgrind is not installed"; exit 77; }

# WORK COUNT
count() {
	valgrind --tool=callgrind --callgrind-out-file=/dev/null "$program" --only "$1" "$2" 2>&1 |
		awk '/Collected/ { found = $NF } END { if (found == "") exit 1; print found }'
}

# WORK POINTS
each() {
	low=$(count "$1" $few)
	high=$(count "$1" $many)
	echo $(((high - low) / ((many - few) * $2)))
}

point=$(each point $ranges)
near=$(each near $ranges)
map=$(each map $map_points)
network=$(each network $ranges)
awk -v p="$point" -v b="$near" -v m="$map" -v n="$network" 'BEGIN {
	printf "{\n\t\"point_instructions\": %d,\n\t\"near_instructions\": %d,\n\t\"map_instructions\": %d,\n", p, b, m
	printf "\t\"network_instructions\": %d,\n\t\"instruction_ratio\": %.4g,\n", n, p / n
	printf "\t\"near_instruction_ratio\": %.4g,\n\t\"map_instruction_ratio\": %.4g\n}\n", b / n, m / n }'
