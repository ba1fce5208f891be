# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: run.py PROGRAM [--update] [CASE...]

Runs the golden files, and every line that help and errors show as an example.

A case is a folder cases/NAME with
    cmd      shell lines, run in the project's folder with `jetwright` on PATH and a folder $TMP to write in; the last
             one's exit code counts
    stdout   what they print; missing means nothing
    stderr   the same for the error stream
    exit     the exit code; missing means 0
Numbers may differ by 1e-9 of their value, for the sake of other compilers; every other character is compared. What a
command with --json prints must be one JSON value, without NaN, infinities or doubled keys.
To add a case write its cmd and run with --update; read what that wrote before committing it.
"""
import json
import math
import os
import pathlib
import re
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
NUMBER = re.compile(r"(\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)")
TOLERANCE = 1e-9
SECONDS = 120


def run(shell, program, folder, where=ROOT):
    """Exit code, standard output and error of shell lines that see the program as `jetwright`."""
    link = pathlib.Path(folder) / "jetwright"
    link.unlink(missing_ok=True)
    link.symlink_to(pathlib.Path(program).resolve())
    environment = {**os.environ, "PATH": f"{folder}:{os.environ['PATH']}", "LC_ALL": "C.UTF-8", "COLUMNS": "80",
                   "TMP": folder, "JETWRIGHT_PROFILES": str(ROOT / "profiles")}
    done = subprocess.run(["sh", "-c", shell], cwd=where, env=environment, capture_output=True, text=True,
                          timeout=SECONDS, stdin=subprocess.DEVNULL)
    return done.returncode, done.stdout, done.stderr


def same(got, expected):
    """Equal but for the last digits of numbers. Every other piece of the split is a number."""
    ours, theirs = NUMBER.split(got), NUMBER.split(expected)
    return len(ours) == len(theirs) and all(
        a == b or (i % 2 and math.isclose(float(a), float(b), rel_tol=TOLERANCE))
        for i, (a, b) in enumerate(zip(ours, theirs)))


def first_difference(got, expected):
    ours, theirs = got.splitlines(), expected.splitlines()
    for line in range(max(len(ours), len(theirs))):
        a = ours[line] if line < len(ours) else "(end)"
        b = theirs[line] if line < len(theirs) else "(end)"
        if not same(a, b):
            return f"line {line + 1}:\n    got      {a}\n    expected {b}"
    return "line ends"


def refuse(text):
    raise ValueError(f"{text} is not JSON")


def unique_keys(pairs):
    keys = [key for key, _ in pairs]
    if len(keys) != len(set(keys)):
        raise ValueError(f"a key appears twice among {keys}")
    return dict(pairs)


def json_fault(text):
    try:
        json.loads(text, parse_constant=refuse, object_pairs_hook=unique_keys)
    except ValueError as fault:
        return str(fault)
    return None


def read(path, default):
    return path.read_text() if path.exists() else default


def write(path, text, default):
    if text == default:
        path.unlink(missing_ok=True)
    else:
        path.write_text(text)


def case_faults(case, program, folder, update):
    command = (case / "cmd").read_text()
    code, stdout, stderr = run(command, program, folder)
    if "--json" in command and stdout:
        fault = json_fault(stdout)
        if fault:
            yield f"standard output is no JSON: {fault}"
    if update:
        write(case / "exit", f"{code}\n", "0\n")
        write(case / "stdout", stdout, "")
        write(case / "stderr", stderr, "")
    expected = int(read(case / "exit", "0"))
    if code != expected:
        yield f"exit code {code}, expected {expected}\n{stderr}"
    for name, got in (("stdout", stdout), ("stderr", stderr)):
        golden = read(case / name, "")
        if not same(got, golden):
            yield f"{name} differs in {first_difference(got, golden)}"


SHOWN = re.compile(r"(?:^For example|^More|^What such a file holds): (jetwright .*)$|'(jetwright list [^'<]*)'", re.M)


def help_examples(program, folder):
    """(command, the examples at the end of its help) of the program and of every command that it lists."""
    _, usage, _ = run("jetwright --help", program, folder)
    listed = re.search(r"^Commands:\n((?:  \S.*\n)+)", usage, re.M)
    for command in [""] + [line.split()[0] for line in (listed[1] if listed else "").splitlines()]:
        _, text, _ = run(f"jetwright {command} --help", program, folder)
        ending = re.search(r"^Examples:\n((?:  jetwright .*\n      \S.*\n)+)\Z", text, re.M)
        yield command, re.findall(r"^  (jetwright .*)", ending[1], re.M) if ending else []


def lines_shown(program, folder, cases):
    """Lines that help and errors show, to be run as they stand."""
    for _, examples in help_examples(program, folder):
        yield from examples
    for case in cases:
        for told in SHOWN.findall(read(case / "stderr", "") + read(case / "stdout", "")):
            line = told[0] or told[1]
            if "COMMAND" not in line:
                yield line


def example_faults(program, folder, cases):
    helps = list(help_examples(program, folder))
    if len(helps) < 2:
        yield "help", ["lists no command"]
    for command, examples in helps:
        if len(examples) < 2:
            yield f"{command} --help", ["does not end with two examples"]
    for line in sorted(set(lines_shown(program, folder, cases))):
        with tempfile.TemporaryDirectory() as empty:  # some write a file
            code, _, stderr = run(line, program, folder, empty)
        yield line, [f"exit code {code}\n{stderr}"] if code else []


def teaching_faults(cases):
    """Wrong use, and a fault in a file, are met with a line that runs."""
    for case in cases:
        told = read(case / "stderr", "") + read(case / "stdout", "")
        if (read(case / "exit", "0") == "2\n" or re.search(r":\d+:\d+: ", told)) and not re.search(
                r"^(For example|Examples|What such a file holds):", told, re.M):
            yield case.name, ["its error shows no line that runs"]


def main():
    update = "--update" in sys.argv
    program, *names = [argument for argument in sys.argv[1:] if argument != "--update"]
    cases = sorted(path.parent for path in (HERE / "cases").glob("*/cmd"))
    chosen = [case for case in cases if not names or case.name in names]
    with tempfile.TemporaryDirectory() as folder:
        results = [(case.name, list(case_faults(case, program, folder, update))) for case in chosen]
        if not names:
            results += example_faults(program, folder, cases)
            results += teaching_faults(cases)
    for name, faults in results:
        for fault in faults:
            print(f"FAILED {name}: {fault}")
    failed = sum(1 for _, faults in results if faults)
    print(f"{len(results) - failed} passed, {failed} failed")
    return 1 if failed or not chosen else 0


sys.exit(main())
