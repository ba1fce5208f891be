#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Which lines and branches of lib/ the unit tests and those that make something fail run: builds build-coverage/, runs
the tests, prints the totals and the files that are covered least; with FILE, the lines and branches of these that no test
runs. Nothing in lib/ is left out. Ends with 1 below the aims."""
import argparse
import json
import os
import pathlib
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parents[2]
BUILD = ROOT / "build-coverage"
FAULTS = ["jetwright_cli", "strike", "faults_solver"]
AIM = {"line": 95.0, "branch": 90.0}


def call(*words, **more):
    subprocess.run(words, cwd=ROOT, check=True, **more)


def build(jobs):
    call("cmake", "-S", ".", "-B", BUILD, "-G", "Ninja", "-DCMAKE_BUILD_TYPE=Debug", "-DJETWRIGHT_COVERAGE=ON",
         f"-DPython3_EXECUTABLE={sys.executable}", stdout=subprocess.DEVNULL)
    units = sorted("test_unit_" + folder.name for folder in (ROOT / "tests/unit").iterdir())
    call("cmake", "--build", BUILD, "-j", str(jobs), "--target", *units, *FAULTS, stdout=subprocess.DEVNULL)


def run_tests():
    for counts in BUILD.rglob("*.gcda"):
        counts.unlink()
    call("ctest", "--test-dir", BUILD, "-R", "^(unit/|faults)", "--output-on-failure")


def count():
    """What gcovr counts, by file."""
    told = subprocess.run(["gcovr", "--root", ROOT, "--object-directory", BUILD, "--filter", f"{ROOT}/lib/", "--json"],
                          cwd=ROOT, check=True, stdout=subprocess.PIPE).stdout
    return {file["file"]: [l for l in file["lines"] if not l["gcovr/noncode"]] for file in json.loads(told)["files"]}


def tally(lines):
    """(run, there are) of lines and of branches."""
    branches = [b for line in lines for b in line["branches"] if not b.get("gcovr/noncode")]
    return {"line": (sum(l["count"] > 0 for l in lines), len(lines)),
            "branch": (sum(b["count"] > 0 for b in branches), len(branches))}


def share(run, all_):
    return 100.0 * run / all_ if all_ else 100.0


def table(files, how_many):
    counted = {name: tally(lines) for name, lines in files.items()}
    least = sorted(counted, key=lambda name: counted[name]["branch"][0] - counted[name]["branch"][1])
    print(f"{'':32}{'lines':>16}{'branches':>18}   most branches missed first")
    for name in least[:how_many]:
        c = counted[name]
        print(f"{name:32}" + "".join(f"{c[k][0]:6}/{c[k][1]:<5}{share(*c[k]):5.1f}" for k in AIM))


def missed(lines):
    texts = []
    for line in lines:
        branches = [i for i, b in enumerate(line["branches"]) if not b["count"]]
        if not line["count"]:
            texts.append(f"{line['line_number']}: not run")
        elif branches:
            texts.append(f"{line['line_number']}: {len(branches)} of {len(line['branches'])} branches not taken")
    return texts


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    parser.add_argument("--no-run", action="store_true", help="only count again")
    parser.add_argument("--least", type=int, default=15, help="files to name")
    parser.add_argument("file", nargs="*", help="lib/MODULE/NAME.c, to tell line by line")
    args = parser.parse_args()
    if not args.no_run:
        build(args.jobs)
        run_tests()
    files = count()
    table(files, args.least)
    for name in args.file:
        source = (ROOT / name).read_text().splitlines()
        for text in missed(files[name]):
            print(f"{name}:{text}: {source[int(text.split(':')[0]) - 1].strip()}")
    everything = tally([line for lines in files.values() for line in lines])
    short = False
    for kind, aim in AIM.items():
        reached = share(*everything[kind])
        short |= reached < aim
        print(f"{kind:7} {everything[kind][0]} of {everything[kind][1]}: {reached:.1f} %, aim {aim:.0f} %")
    sys.exit(1 if short else 0)


main()
