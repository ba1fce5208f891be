#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Usage: run.sh BUILD_DIR VERSION CC CXX
# Installs into a fresh folder, moves that, and builds a stranger's programs against it by CMake and by pkg-config; then
# a stranger's project that takes in the sources.
set -eu
build=$1 version=$2 cc=$3 cxx=$4
source=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

cmake --install "$build" --prefix "$work/first" >/dev/null
mkdir "$work/moved on"
mv "$work/first" "$work/moved on/jetwright"
prefix="$work/moved on/jetwright"
for named in $(sed -n 's/.*`\(.*\)` beside this header.*/\1/p' "$source"/../../include/jetwright/*.h); do
	[ -f "$prefix/include/jetwright/$named" ] || {
		echo "$named is not beside the header that names it"
		exit 1
	}
done

# ISO 2533: density at sea level.
expect() {
	got=$("$@")
	[ "$got" = "$version 1.225 kg/m3" ] || {
		echo "$1 printed '$got'"
		exit 1
	}
	echo "passed: $(basename "$1")"
}

build_project() {
	folder=$1
	shift
	CC=$cc CXX=$cxx cmake -S "$source" -B "$folder" -G Ninja "$@" >/dev/null
	cmake --build "$folder" >/dev/null
	for program in c_jetwright c_jetwright_static cxx_jetwright cxx_jetwright_static; do
		expect "$folder/$program"
	done
}

build_project "$work/found" -DCMAKE_PREFIX_PATH="$prefix"

# Without what the static library is built on it is not there, and why is told.
if CC=$cc CXX=$cxx cmake -S "$source" -B "$work/lacking" -G Ninja -DCMAKE_PREFIX_PATH="$prefix" \
	-DCMAKE_DISABLE_FIND_PACKAGE_GSL=ON >"$work/told" 2>&1 || ! grep -q 'lacks GSL 2.7' "$work/told"; then
	echo "what the static library lacks is not told"
	exit 1
fi
echo "passed: lacking"

PKG_CONFIG_PATH=$(dirname "$(find "$prefix" -name jetwright.pc)")
export PKG_CONFIG_PATH
[ "$(pkg-config --modversion jetwright)" = "$version" ]

# NAME KIND COMPILER SOURCE; what pkg-config prints is quoted for a shell.
compile() {
	case $2 in
	shared) flags="$(pkg-config --cflags --libs jetwright) -Wl,-rpath,\"${PKG_CONFIG_PATH%/pkgconfig}\"" ;;
	static) flags="$(pkg-config --cflags --libs --static jetwright) -static" ;;
	esac
	eval "\"$3\" \"$4\" $flags -o \"$work/$1\""
}
compile pc_shared shared "$cc" "$source/main.c"
compile pc_static static "$cc" "$source/main.c"
compile pc_cxx shared "$cxx" "$source/main.cpp"
compile pc_cxx_static static "$cxx" "$source/main.cpp"
for program in pc_shared pc_static pc_cxx pc_cxx_static; do
	expect "$work/$program"
done

# The program that README shows, and what it shows beside it.
block() {
	awk -v fence="$1" '/^```/ { inside = !inside && $0 == "```" fence; next } /^## / { here = $0 == "## In a program" } here && inside' \
		"$source/../../README.md"
}
block c >"$work/readme.c"
block text >"$work/readme.txt"
compile readme shared "$cc" "$work/readme.c"
[ -s "$work/readme.txt" ]
"$work/readme" "$prefix/share/jetwright/profiles/engines/courier-150.yaml" | diff "$work/readme.txt" -
echo "passed: README's program"

# The program finds the profiles that were installed with it, through a link too, or those that it is told of.
unset JETWRIGHT_PROFILES
ln -s "$prefix/bin/jetwright" "$work/link"
(cd / && "$prefix/bin/jetwright" check stood-five-months >/dev/null && "$work/link" check stood-five-months >/dev/null)
mkdir -p "$work/outside/cli"
cp "$build/cli/jetwright" "$work/outside/cli"
cp -P "$build/profiles" "$work/outside"
(cd / && "$work/outside/cli/jetwright" check stood-five-months >/dev/null)
mkdir -p "$work/own/cases"
cp -r "$prefix"/share/jetwright/profiles/* "$work/own"
mv "$work/own/cases/stood-five-months.yaml" "$work/own/cases/my-own.yaml"
(cd / && JETWRIGHT_PROFILES=$work/own "$prefix/bin/jetwright" check my-own >/dev/null)
if (cd / && JETWRIGHT_PROFILES=$work/own "$prefix/bin/jetwright" check stood-five-months >/dev/null 2>&1); then
	echo "JETWRIGHT_PROFILES is not heeded"
	exit 1
fi
echo "passed: profiles"

# The ABI name, not the version, is what a program asks for.
readelf -d "$work/pc_shared" | grep -q 'libjetwright\.so\.[0-9][0-9]*\]'

# Taken in, it is the library alone: no test, no install, no warning that ends the build.
build_project "$work/taken" -DJETWRIGHT_SOURCE="$source/../.." -DCMAKE_BUILD_TYPE=Debug
ctest --test-dir "$work/taken" -N | grep -q '^Total Tests: 0$'
cmake --install "$work/taken" --prefix "$work/empty" >/dev/null
if [ -e "$work/empty" ] || grep -q -e -Werror "$work/taken/build.ninja"; then
	echo "another project gets more than the library"
	exit 1
fi
echo "passed: taken in"
