# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: check.py SHARED_LIBRARY INCLUDE_DIR [--update]

Holds the public types and functions of the library, as its debug information has them, against those of the last
release (baseline.abi.xz, written by abidw of abigail-tools). What was there and went or changed takes the next
JETWRIGHT_ABI in CMakeLists.txt, once a release; what was only added takes none.
With a release: run this with --update on its library, and commit the baseline.
"""
import lzma
import pathlib
import re
import subprocess
import sys
import tempfile

BASELINE = pathlib.Path(__file__).with_name("baseline.abi.xz")
PUBLIC_ONLY = ["--drop-private-types", "--exported-interfaces-only", "--no-parameter-names", "--no-elf-needed",
               "--no-corpus-path", "--no-show-locs", "--no-comp-dir-path"]
HANDLE = re.compile(r"^typedef struct (\w+) \1;", re.M)  # what is inside is not the caller's
ERRORS, CHANGED = 0b0011, 0b1100  # bits of abidiff's exit code


def described(library, headers):
    handles = {name for header in pathlib.Path(headers).rglob("*.h") for name in HANDLE.findall(header.read_text())}
    with tempfile.NamedTemporaryFile("w", suffix=".suppr") as opaque:
        opaque.write(f"[suppress_type]\nname_regexp = ^({'|'.join(sorted(handles))})$\ndrop = yes\n")
        opaque.flush()
        return subprocess.run(["abidw", "--headers-dir", headers, "--suppressions", opaque.name, *PUBLIC_ONLY, library],
                              check=True, capture_output=True).stdout


def number(description):
    return int(re.search(rb"soname='libjetwright\.so\.(\d+)'", description).group(1))


def differences(old, new):
    with tempfile.TemporaryDirectory() as folder:
        paths = [pathlib.Path(folder) / name for name in ("baseline.abi", "built.abi")]
        for path, description in zip(paths, (old, new)):
            path.write_bytes(description)
        done = subprocess.run(["abidiff", "--no-added-syms", "--ignore-soname", *map(str, paths)],
                              capture_output=True, text=True)
    if done.returncode & ERRORS:
        sys.exit(f"abidiff failed: {done.stderr}")
    return done.stdout if done.returncode & CHANGED else ""


def main():
    library, headers = sys.argv[1:3]
    built = described(library, headers)
    if "--update" in sys.argv[3:]:
        BASELINE.write_bytes(lzma.compress(built, preset=9))
    released = lzma.decompress(BASELINE.read_bytes())
    changes = differences(released, built)
    expected = number(released) + bool(changes)
    print(changes or "nothing that was released went or changed")
    print(f"JETWRIGHT_ABI: {number(released)} released, {number(built)} built, {expected} expected")
    return 0 if number(built) == expected else 1


sys.exit(main())
