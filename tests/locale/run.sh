#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Usage: run.sh PROGRAM PROFILE
# Compiles a locale with a decimal comma into a fresh folder and runs the program under it.
set -eu
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
localedef -i de_DE -f UTF-8 "$work/de_DE.UTF-8" || echo "localedef cannot make de_DE.UTF-8: install the package locales"
LOCPATH=$work LC_ALL=de_DE.UTF-8 "$@"
