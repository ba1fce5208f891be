#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The program under valgrind: no byte lost, none read before it was written, over a sample of what it can do.

usage: leaks.py PROGRAM
"""
import os
import pathlib
import subprocess
import sys
import tempfile

PROGRAM = os.path.abspath(sys.argv[1])
ROOT = pathlib.Path(__file__).resolve().parents[2]
FOUND = 99
VALGRIND = ["valgrind", "-q", "--leak-check=full", "--show-leak-kinds=all", "--errors-for-leak-kinds=all",
            f"--error-exitcode={FOUND}"]
SAMPLE = ["air --altitude 500m", "mixture courier-150 --json", "explain stood-five-months", "jet --bore 1mm --head 500mm",
          "restrict moped-50 main_jet --flow 60% --at full", "fit courier-150 courier-150-road --write out.yaml",
          "check trail-250", "list causes", "list --schema case", "balance four-600 --offsets 0%,0.3%,-0.2%,0%",
          "snap courier-150 --csv", "mixture nobody", "air --altitud 5",
          "rejet courier-150 --altitude 1500m --svg out.svg"]
BAD = sorted((ROOT / "tests/profiles/bad").glob("*.yaml"))[::10]  # the sanitizer reads all of them


def run(command, folder):
    return subprocess.run(command, cwd=folder, env={**os.environ, "JETWRIGHT_PROFILES": str(ROOT / "profiles")},
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL, text=True)


def main():
    failed = 0
    with tempfile.TemporaryDirectory() as folder:
        for words in [line.split() for line in SAMPLE] + [["check", str(path)] for path in BAD]:
            watched, plain = run([*VALGRIND, PROGRAM, *words], folder), run([PROGRAM, *words], folder)
            # The same answer: otherwise valgrind found something, or did not get as far as running the program.
            if (watched.returncode, watched.stdout, watched.stderr) != (plain.returncode, plain.stdout, plain.stderr):
                failed += 1
                print(f"FAILED {' '.join(words)}: exit code {watched.returncode}\n{watched.stderr}")
    return 1 if failed else 0


sys.exit(main())
