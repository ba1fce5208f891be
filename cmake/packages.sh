#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Installs the Debian packages of the named sets that are missing: program, tests, checks.
set -eu

packages_of() {
	case $1 in
	program) echo gcc libc6-dev cmake ninja-build pkg-config libgsl-dev libyaml-dev ;;
	tests) echo abigail-tools binutils doxygen dpkg-dev file g++ fish libcriterion-dev locales mandoc units valgrind python3 python3-fluids python3-iapws python3-jsonschema python3-matplotlib python3-numpy python3-pip python3-scipy python3-yaml tmux zsh ;;
	checks) echo clang chromium gcovr lintian ;;
	*) echo "packages.sh: no package set '$1', expected program, tests or checks" >&2 && exit 2 ;;
	esac
}

is_installed() {
	[ "$(dpkg-query -W -f='${db:Status-Status}' "$1" 2>/dev/null)" = installed ]
}

command -v dpkg-query >/dev/null || {
	echo "packages.sh: not a Debian system; going on with the compiler and libraries that are here" >&2
	exit 0
}

missing=
for set in "$@"; do
	packages=$(packages_of "$set")
	for package in $packages; do
		is_installed "$package" || missing="$missing $package"
	done
done
[ -n "$missing" ] || exit 0

if [ "$(id -u)" -ne 0 ]; then
	echo "These packages are missing; install them as root, then run this again:" >&2
	echo "    apt-get install -y --no-install-recommends$missing" >&2
	exit 1
fi
export DEBIAN_FRONTEND=noninteractive
apt-get update -q >&2
# shellcheck disable=SC2086 # a list of words
apt-get install -q -y --no-install-recommends $missing >&2
