#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Installs what build and tests need, builds everything, and runs every test.
set -eu
cd "$(dirname "$0")/.."

sh cmake/packages.sh program tests
cmake -S . -B build -G Ninja -DJETWRIGHT_TESTS=ON
cmake --build build
ctest --test-dir build -j2 --no-tests=error --output-on-failure
