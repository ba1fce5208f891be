# SPDX-License-Identifier: GPL-3.0-or-later
"""Which unit tests run a line of lib/. Every test is run once by itself in a build whose lines are counted, and what it
reached is kept under build-mutation/, a file per module, until sources or tests change. Lines of a file are the bits of a
number: bit 7 is line 7."""
import collections
import dataclasses
import hashlib
import json
import re
import subprocess
import sys

import builds
from builds import COUNTING, ROOT, TREE, WORK


@dataclasses.dataclass(frozen=True)
class Test:
    module: str
    name: str
    seconds: float  # of CPU, where lines are counted
    reached: dict  # file: lines

    def told(self):
        return f"unit/{self.module} {self.name}"


def counted():
    """File: lines with code, and file: those that have been run since the counts were removed."""
    told = subprocess.run(["gcov", "--json-format", "--stdout", *COUNTING.glob("lib/**/*.gcda")], cwd=TREE, check=True,
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True).stdout
    code, reached = collections.defaultdict(int), collections.defaultdict(int)
    for document in told.splitlines():
        for file in json.loads(document)["files"]:
            name = file["file"].removeprefix(f"{TREE}/")
            for line in file["lines"]:
                code[name] |= 1 << line["line_number"]
                reached[name] |= (line["count"] > 0) << line["line_number"]
    return code, reached


def measure(module):
    """Its tests as rows, and the code of the files that they are linked with."""
    code, rows = {}, []
    for name in builds.tests_of(COUNTING, module):
        for counts in COUNTING.rglob("*.gcda"):
            counts.unlink()
        verdict, seconds = builds.run_test(COUNTING / "tests" / builds.program(module), name, 3600)
        if verdict != "passed":
            sys.exit(f"unit/{module} {name} fails without any mutant")
        of_files, reached = counted()
        code |= of_files
        rows.append([module, name, seconds, {file: lines for file, lines in reached.items() if lines}])
    print(f"unit/{module}: {len(rows)} tests take {sum(row[2] for row in rows):.1f} s", flush=True)
    return code, rows


def digest(module):
    """Of all that decides what the tests of a module reach."""
    found = hashlib.sha256()
    for place in ("include", "lib", "profiles", "tests/support", "tests/profiles", "tests/published", "tests/fuzz/traces",
                  "tests/CMakeLists.txt", "tests/mutation/builds.py", "tests/mutation/reach.py", f"tests/unit/{module}"):
        for file in sorted((ROOT / place).rglob("*")) or [ROOT / place]:
            if file.is_file():
                found.update(file.read_bytes())
    return found.hexdigest()[:12]


def lines_for(text, code, line):
    """The line itself; where no code is told for it, the function around it; else, as for tables, the whole file."""
    if code >> line & 1:
        return 1 << line
    begun = None
    for number, there in enumerate(text.split("\n"), 1):
        if there == "{":
            begun = number
        elif there == "}" and begun:
            if begun <= line <= number:
                return code & (1 << number + 1) - (1 << begun)
            begun = None
    return code


class Reach:
    def __init__(self):
        self.code, self.tests = {}, []
        for module in builds.modules():
            kept = WORK / f"reach-{module}-{digest(module)}.json"
            if not kept.exists():
                kept.write_text(json.dumps(measure(module)))
            code, rows = json.loads(kept.read_text())
            self.code |= code
            self.tests += [Test(*row) for row in rows]

    def of(self, file, line):
        """The tests that run it: as one of the module itself is ten times as likely to tell what was changed, the others
        are taken for ten times as long; the shortest first."""
        wanted, module = lines_for((ROOT / file).read_text(), self.code.get(file, 0), line), file.split("/")[1]
        found = [test for test in self.tests if test.reached.get(file, 0) & wanted]
        return sorted(found, key=lambda test: test.seconds * (1 if test.module == module else 10))
