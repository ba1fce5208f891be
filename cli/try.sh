#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Installs what the build needs, builds the program, and explains the case that comes along.
set -eu
cd "$(dirname "$0")/.."

sh cmake/packages.sh program
# A fresh folder is set up without the tests, which need more packages; an existing one is kept as it is.
[ -f build/CMakeCache.txt ] || cmake -S . -B build -G Ninja -DJETWRIGHT_TESTS=OFF >&2
cmake --build build --target jetwright_cli >&2
build/cli/jetwright explain profiles/cases/stood-five-months.yaml
