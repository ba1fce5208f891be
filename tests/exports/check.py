# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: check.py SOURCE_DIR SHARED_LIBRARY [--update]

What the shared library exports, what the public headers declare with JW_API, and the committed list are one set.
To change the list: edit a header, build, run this with --update, and commit tests/exports/symbols.txt beside the header;
a name that goes or changes its meaning raises JETWRIGHT_ABI in CMakeLists.txt.
"""
import pathlib
import re
import subprocess
import sys

DECLARATION = re.compile(r"^JW_API\b[^;{(]*?(\w+)\s*\(", re.M)


def declared(source):
    headers = (source / "include/jetwright").glob("*.h")
    return {name for header in headers for name in DECLARATION.findall(header.read_text())}


def exported(library):
    table = subprocess.run(["nm", "-D", "--defined-only", library], check=True, capture_output=True, text=True).stdout
    return {line.split()[-1] for line in table.splitlines()}


def report(text, names):
    for name in sorted(names):
        print(f"{text}: {name}")
    return len(names)


def main():
    source, library = pathlib.Path(sys.argv[1]), sys.argv[2]
    listing = source / "tests/exports/symbols.txt"
    names = declared(source)
    if "--update" in sys.argv[3:]:
        listing.write_text("".join(name + "\n" for name in sorted(names)))
    listed, found = set(listing.read_text().split()), exported(library)
    faults = report("declared but not exported", names - found)
    faults += report("exported but not declared", found - names)
    faults += report("declared but not in symbols.txt", names - listed)
    faults += report("in symbols.txt but not declared", listed - names)
    faults += report("outside the prefix", {name for name in found if not name.startswith("jw_")})
    print(f"{len(found)} exported, {len(names)} declared, {len(listed)} listed")
    return 1 if faults or not names else 0


sys.exit(main())
