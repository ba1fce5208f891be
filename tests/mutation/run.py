#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Changes one place of lib/ at a time, drawn at random, and sees whether the unit tests notice. Works in a copy under
build-mutation/; begun again with the same seed it goes on where it stopped. Prints each mutant, at the end the share
that was noticed and those that survived; README.md tells why the last ones did.

What the compiler makes nothing else of, or does not take, is not counted. Only tests that run the changed line are run, the
quick ones first, up to the first that fails or takes far longer than it did; a line that none runs has survived."""
import argparse
import concurrent.futures
import functools
import hashlib
import json
import math
import sys
import threading
import time

import builds
import mutants
import reach
from builds import PLAIN, ROOT, WORK

AIM = 85.0
# Of the time without a mutant, and seconds beside.
PATIENCE, PATIENCE_SECONDS = 5, 10


def most_seconds(test):
    return math.ceil(PATIENCE * test.seconds) + PATIENCE_SECONDS


@functools.cache
def passes_without(module, name):
    return builds.run_test(PLAIN / "tests" / builds.program(module), name, 3600)[0] == "passed"


def try_mutant(mutant, tests, output):
    """What became of it; output is where its object may lie."""
    if not builds.compile_mutant(mutant, output):
        return "is none"
    linked = {}
    for test in tests:
        if test.module not in linked:
            linked[test.module] = builds.link_mutant(test.module, output)
        verdict, _ = builds.run_test(linked[test.module], test.name, most_seconds(test))
        if verdict == "passed":
            continue
        if not passes_without(test.module, test.name):
            sys.exit(f"{test.told()} fails without any mutant")
        return f"noticed by {test.told()}" + (" (too long)" if verdict == "too long" else "")
    return "survived" if tests else "survived, no unit test reaches it"


def summary(tried):
    """Prints what was found; returns the share noticed."""
    survivors = [(told, verdict) for told, verdict in tried if verdict.startswith("survived")]
    noticed = sum(verdict.startswith("noticed") for _, verdict in tried)
    counted = noticed + len(survivors)
    for told, verdict in survivors:
        print(f"{verdict.upper()}: {told}")
    share = 100.0 * noticed / counted if counted else 0.0
    print(f"{counted} mutants, {noticed} noticed: {share:.1f} %, aim {AIM:.0f} %; {len(tried) - counted} drawn besides that "
          "change nothing or do not build")
    return share


def digest():
    """Of what a verdict rests on."""
    found = hashlib.sha256()
    for file in sorted((ROOT / "tests/mutation").glob("*.py")):
        found.update(file.read_bytes())
    for module in builds.modules():
        found.update(reach.digest(module).encode())
    return found.hexdigest()[:12]


class Trial:
    """The mutants of a seed, tried by one thread or several; what became of them is kept in a file."""

    def __init__(self, args, reached):
        self.args, self.reached = args, reached
        self.notes = WORK / f"seed-{args.seed}-{digest()}.jsonl"
        self.known = dict(map(json.loads, self.notes.read_text().splitlines())) if self.notes.exists() else {}
        self.end = time.monotonic() + 60 * args.minutes
        self.drawn, self.left = [], mutants.draw(ROOT, args.seed, args.only)
        self.lock = threading.Lock()

    def draw(self):
        """The next one that is not known; None where there are enough, or no time is left."""
        with self.lock:
            while self.counted() < self.args.count and (mutant := next(self.left, None)):
                told = mutant.told((ROOT / mutant.file).read_text().split("\n"))
                self.drawn.append(told)
                if told not in self.known:
                    return (mutant, told) if time.monotonic() < self.end else None
        return None

    def counted(self):
        return sum(self.known.get(told, "is none") != "is none" for told in self.drawn)

    def work(self, number):
        while drawn := self.draw():
            mutant, told = drawn
            verdict = try_mutant(mutant, self.reached.of(mutant.file, mutant.line), WORK / f"mutant{number}.o")
            with self.lock:
                self.known[told] = verdict
                with self.notes.open("a") as file:
                    file.write(json.dumps([told, verdict]) + "\n")
                print(f"{verdict}: {told}", flush=True)

    def tried(self):
        return [(told, self.known[told]) for told in self.drawn if told in self.known]


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=100, help="mutants that build and change something")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=60, help="after which no further one is begun")
    parser.add_argument("--only", default="lib/", help="what the file's path begins with")
    parser.add_argument("--jobs", type=int, default=1, help="mutants tried at once")
    args = parser.parse_args()
    builds.prepare()
    trial = Trial(args, reach.Reach())
    with concurrent.futures.ThreadPoolExecutor(args.jobs) as pool:
        list(pool.map(trial.work, range(args.jobs)))
    sys.exit(0 if summary(trial.tried()) >= AIM else 1)


main()
