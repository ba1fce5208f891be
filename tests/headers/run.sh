#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Usage: run.sh INCLUDE_DIR CC CXX
# Each public header must compile alone, and twice, as C17 and as C++17, and as what came before: C99 and C++11.
set -eu
include=$1 cc=$2 cxx=$3
warnings='-pedantic -Wall -Wextra -Werror -fsyntax-only'
headers=0
for path in "$include"/jetwright/*.h; do
	line="#include <jetwright/$(basename "$path")>"
	# shellcheck disable=SC2086 # a list of flags
	for std in 17 99; do
		printf '%s\n%s\nint used;\n' "$line" "$line" | "$cc" -std=c$std $warnings -I "$include" -x c -
	done
	# shellcheck disable=SC2086
	for std in 17 11; do
		printf '%s\n%s\nint used;\n' "$line" "$line" | "$cxx" -std=c++$std $warnings -I "$include" -x c++ -
	done
	headers=$((headers + 1))
done
echo "$headers headers compile alone"
[ "$headers" -gt 0 ]
