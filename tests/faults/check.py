#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Faults around the program: a disk that is full, a reader that went, a write that is cut off. An old file stays whole,
what cannot be written is said, and the exit code is not 0.

usage: check.py PROGRAM STRIKE_LIBRARY
"""
import os
import pathlib
import resource
import shutil
import signal
import subprocess
import sys
import tempfile

PROGRAM, STRIKE = (os.path.abspath(argument) for argument in sys.argv[1:])
ROOT = pathlib.Path(__file__).resolve().parents[2]
ENVIRONMENT = {**os.environ, "LC_ALL": "C.UTF-8", "JETWRIGHT_PROFILES": str(ROOT / "profiles"),
               "ASAN_OPTIONS": "verify_asan_link_order=0"}

# Every command once, as it writes to standard output.
ANSWERS = ["explain open-filter-fitted", "explain open-filter-fitted --json", "rejet courier-150 --altitude 1500m",
           "mixture courier-150", "mixture courier-150 --json", "snap courier-150",
           "balance four-600 --offsets 0%,0.3%,-0.2%,0%",
           "restrict courier-150 main_jet --flow 60% --at full", "jet --bore 1mm --head 500mm --fuel e10", "air",
           "fit courier-150 courier-150-road", "check courier-150", "list", "--help", "--version", "fit --help"]

ENGINE = (ROOT / "profiles/engines/courier-150.yaml").read_text()
CASE = (ROOT / "profiles/cases/stood-five-months.yaml").read_text()

# Where the write is cut off: the call struck, the largest file in bytes, whether its signal kills, and whether the
# program lives on to say so.
CUTS = {
    "killed before the data are on the disk": ("fsync", None, False, False),
    "killed before the file is in place": ("rename", None, False, False),
    "killed in the middle of the data": (None, 512, True, False),
    "a disk that is full in the middle of the data": (None, 512, False, True),
    "a disk that cannot keep the data": ("fsync!", None, False, True),
    "a folder that does not take the file": ("rename!", None, False, True),
}

# What writes a file: the words of the command, what is typed, what stands in the file before, and where it is cut off.
# One cut is enough where the work takes seconds and the file is written as another row's.
WRITERS = {
    "fit --write": ("fit mine.yaml courier-150-road --write mine.yaml", "", ENGINE, CUTS),
    "fit --cycle --write": ("fit mine.yaml --cycle --write mine.yaml", "", ENGINE,
                            ["a disk that is full in the middle of the data"]),
    "explain --ask": ("explain --ask mine.yaml --date 2026-04-22", "1\n1\nstop\n", CASE, CUTS),
    "rejet --svg": ("rejet courier-150 --altitude 1500m --svg mine.yaml", "", "what stood here before\n", CUTS),
    "mixture --html": ("mixture courier-150 --html mine.yaml", "", "what stood here before\n", CUTS),
}


def limit(size, kills):
    def before():
        signal.signal(signal.SIGXFSZ, signal.SIG_DFL if kills else signal.SIG_IGN)
        if size:
            resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
    return before


def run(words, folder, typed="", strike=None, size=None, kills=False):
    environment = {**ENVIRONMENT, **({"LD_PRELOAD": STRIKE, "STRIKE": strike} if strike else {}),
                   **({"GCOV_PREFIX": "/dev/null"} if size else {})}  # counters of coverage would be cut off as well
    return subprocess.run([PROGRAM, *words.split()], cwd=folder, env=environment, input=typed, text=True,
                          capture_output=True, preexec_fn=limit(size, kills), restore_signals=False)


def writer_faults(name, folder):
    words, typed, before, cuts = WRITERS[name]
    mine = folder / "mine.yaml"
    for cut in cuts:
        strike, size, kills, lives = CUTS[cut]
        mine.write_text(before)
        done = run(words, folder, typed, strike, size, kills)
        left = sorted(path.name for path in folder.iterdir())
        if mine.read_text() != before:
            yield f"{name}, {cut}: the old file is not as it was"
        if lives and (done.returncode != 1 or "written" not in done.stderr and "cannot write" not in done.stderr):
            yield f"{name}, {cut}: exit code {done.returncode}, said {done.stderr!r}"
        if not lives and done.returncode >= 0:
            yield f"{name}, {cut}: not killed, exit code {done.returncode}"
        if lives and left != ["mine.yaml"]:
            yield f"{name}, {cut}: left behind {left}"
        for path in folder.iterdir():
            path.unlink()
    mine.write_text(before)
    done = run(words, folder, typed)
    if done.returncode or mine.read_text() == before:
        yield f"{name}, nothing in its way: exit code {done.returncode}, {done.stderr}"
    mine.unlink()


def output_faults(words):
    with open("/dev/full", "w") as full:
        done = subprocess.run([PROGRAM, *words.split()], env=ENVIRONMENT, stdout=full, stderr=subprocess.PIPE, text=True)
    if done.returncode != 1 or "cannot write the answer: No space left on device" not in done.stderr:
        yield f"{words}, disk full: exit code {done.returncode}, said {done.stderr!r}"
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run([PROGRAM, *words.split()], env=ENVIRONMENT, stdout=writer, stderr=subprocess.PIPE, text=True)
    os.close(writer)
    # As of every program in a pipe: the reader knows that it went.
    if done.returncode != 1 or "cannot write" in done.stderr:
        yield f"{words}, reader gone: exit code {done.returncode}, said {done.stderr!r}"


def main():
    folder = pathlib.Path(tempfile.mkdtemp())
    faults = [fault for name in WRITERS for fault in writer_faults(name, folder)]
    faults += [fault for words in ANSWERS for fault in output_faults(words)]
    shutil.rmtree(folder)
    for fault in faults:
        print(f"FAILED {fault}")
    return 1 if faults else 0


sys.exit(main())
