#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: check.py COMPILER

What is changed in a text whose changes are known, and whether what is drawn from lib/ differs from its source in one line
and compiles, but for a few."""
import pathlib
import subprocess
import sys

import mutants

ROOT = pathlib.Path(__file__).resolve().parents[2]
DRAWN, FEWEST = 40, 34

TEXT = """\
/* a + b is a comment */
#include <math.h>
#define LIMIT 2.5
static double sum(const double *part, int n, jw_error *error)
{
	double all = -LIMIT;
	for (int i = 0; i < n; i++)
		all += part[i] * 0x10;
	note("a - b", 'c');
	if (all >= 7 && !error)
		return jw_fail(error, JW_E_RANGE, "all", all, 0, 1);
	return fmin(all, 1e3);
}
"""
CHANGES = {
    (3, "2.5", "5.0"),
    (6, "-", ""),
    (7, "0", "1"), (7, "<", "<="), (7, "<", ">"), (7, "++", "--"),
    (8, "+=", "-="), (8, "+=", "="), (8, "*", "/"), (8, "all += part[i] * 0x10;", ";"),
    (9, "note(\"a - b\", 'c');", ";"),
    (10, ">=", ">"), (10, ">=", "<"), (10, "7", "8"), (10, "&&", "||"), (10, "!", ""),
    (11, "0", "1"), (11, "1", "0"),
    (12, "fmin", "fmax"), (12, "1e3", "2000.0"), (12, "fmin(all, 1e3);", "-(fmin(all, 1e3));"),
}


def known_text():
    lines = TEXT.split("\n")
    found = {(m.line, lines[m.line - 1][m.start:m.end].strip(), m.text.strip())
             for of_line in mutants.find("lib/base/sum.c", TEXT).values() for m in of_line}
    return [f"not found: {change}" for change in sorted(CHANGES - found)] + \
           [f"found beside: {change}" for change in sorted(found - CHANGES)]


def compiles(compiler, text):
    words = [compiler, "-std=c17", "-D_POSIX_C_SOURCE=200809L", '-DJW_VERSION="0"', "-Iinclude", "-Ilib", "-fsyntax-only",
             "-w", "-x", "c", "-"]
    return subprocess.run(words, cwd=ROOT, input=text, text=True, stderr=subprocess.DEVNULL).returncode == 0


def drawn(compiler):
    faults, taken = [], 0
    for mutant, _ in zip(mutants.draw(ROOT, 20), range(DRAWN)):
        lines = (ROOT / mutant.file).read_text().split("\n")
        changed = mutant.apply(lines)
        if [i + 1 for i, line in enumerate(lines) if line != changed[i]] != [mutant.line]:
            faults.append(f"changes something else: {mutant.told(lines)}")
        taken += compiles(compiler, "\n".join(changed))
    if taken < FEWEST:
        faults.append(f"only {taken} of {DRAWN} compile, expected {FEWEST}")
    return faults


def main():
    faults = known_text() + drawn(sys.argv[1])
    print("\n".join(faults) or f"{DRAWN} drawn, all as they should be")
    sys.exit(1 if faults else 0)


main()
