#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The last table in README.md names at each fuzzer the public functions that it calls itself, and leaves none out.

usage: check.py [--update]
"""
import pathlib
import re
import sys

HERE = pathlib.Path(__file__).parent
README = HERE / "README.md"
PUBLIC = set((HERE.parent / "exports/symbols.txt").read_text().split())
COMMON = {"fuzz.h", "bytes.h", "taken.h"}  # what leads to a set-up, in nearly all of them
HEAD = "| fuzzer | calls |\n| --- | --- |\n"


def calls(file):
    text = file.read_text()
    own = [HERE / name for name in re.findall(r'#include "(\w+\.h)"', text) if name not in COMMON]
    return set(re.findall(r"\bjw_\w+", text)).union(*(calls(header) for header in own)) & PUBLIC


def main():
    found = {file.stem: calls(file) for file in sorted(HERE.glob("fuzz_*.c"))}
    rows = [f"| `{name}` | {', '.join(f'`{call}`' for call in sorted(called)) or 'the program'} |\n" for name, called in found.items()]
    missing = PUBLIC - set().union(*found.values())
    if missing:
        print("no fuzzer calls", *sorted(missing))
    above, head, _ = README.read_text().partition(HEAD)
    right = above + HEAD + "".join(rows)
    if not head or right != README.read_text():
        if "--update" not in sys.argv:
            print("README.md: the table of calls is not that of the fuzzers; --update writes it")
            return 1
        README.write_text(right)
    return 1 if missing else 0


sys.exit(main())
