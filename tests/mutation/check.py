#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: check.py COMPILER

Whether the changes found in sample.c are all those that are known, each of one line, and compile; whether they are drawn
alike by the same seed; and whose tests a line is given."""
import pathlib
import subprocess
import sys

import mutants
import reach

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parents[1]
NAME = "tests/mutation/sample.c"
TEXT = (HERE / "sample.c").read_text()
LINES = TEXT.split("\n")

CHANGES = {
    (8, "2.5", "5.0"),
    (10, "2", "3"), (11, "0.25", "0.5"),
    (12, "-", ""), (12, "4", "5"),
    (17, "-", ""),
    (18, "0", "1"), (18, "<", "<="), (18, "<", ">"), (18, "++", "--"),
    (19, "+=", "-="), (19, "+=", "="), (19, "*", "/"), (19, "all += part[i] * 0x10;", ";"),
    (20, 'puts("a - b");', ";"),
    (21, ">=", ">"), (21, ">=", "<"), (21, "7", "8"), (21, "&&", "||"), (21, "!", ""),
    (22, "0", "1"), (22, "1", "0"),
    (23, "fmin", "fmax"), (23, "1", "0"), (23, "fmin(all, weights[1]);", "-(fmin(all, weights[1]));"),
}
# Of the lines with code in the sample: line, those whose tests it is given.
WITH_CODE = {15, 17, 18, 19, 20, 21, 22, 23}
GIVEN = {
    19: {19},
    16: WITH_CODE - {15},  # within a function
    11: WITH_CODE,  # a table
}


def found():
    return [mutant for of_line in mutants.find(NAME, TEXT).values() for mutant in of_line]


def changes():
    told = {(m.line, LINES[m.line - 1][m.start:m.end].strip(), m.text.strip()) for m in found()}
    return [f"not found: {change}" for change in sorted(CHANGES - told)] + \
           [f"found beside: {change}" for change in sorted(told - CHANGES)]


def compiles(compiler, lines):
    words = [compiler, "-std=c17", "-Iinclude", "-Ilib", "-fsyntax-only", "-w", "-x", "c", "-"]
    return subprocess.run(words, cwd=ROOT, input="\n".join(lines), text=True).returncode == 0


def applied(compiler):
    for mutant in found():
        changed = mutant.apply(LINES)
        if [i + 1 for i, line in enumerate(LINES) if line != changed[i]] != [mutant.line]:
            yield f"changes something else: {mutant.told(LINES)}"
        if not compiles(compiler, changed):
            yield f"does not compile: {mutant.told(LINES)}"


def drawn():
    first, again, other = (list(mutants.draw(ROOT, seed, NAME)) for seed in (3, 3, 4))
    if first != again or first == other:
        yield "a seed does not tell what is drawn"
    if sorted(mutant.line for mutant in first) != sorted(mutants.find(NAME, TEXT)):
        yield "not every line is drawn once"


def given():
    bits = lambda lines: sum(1 << line for line in lines)
    for line, expected in GIVEN.items():
        if reach.lines_for(TEXT, bits(WITH_CODE), line) != bits(expected):
            yield f"line {line} is not given the tests of {sorted(expected)}"


def main():
    faults = [*changes(), *applied(sys.argv[1]), *drawn(), *given()]
    print("\n".join(faults) or f"{len(CHANGES)} changes, all as they should be")
    sys.exit(1 if faults else 0)


main()
