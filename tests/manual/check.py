# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: check.py PROGRAM PAGES

Holds the man pages against the program: a page a command with every option and example of its help, a page a kind of file
with every key of it; mandoc finds nothing to warn of; the examples of the file pages run (those of help have a test of
their own, `cli`).
"""
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
PROGRAM, PAGES = (pathlib.Path(argument).resolve() for argument in sys.argv[1:])
KINDS = {"profile": "engine"}  # pages that are not called what `list --fields` takes
faults = []


def expect(holds, what):
    if not holds:
        faults.append(what)


def run(line, folder=ROOT):
    environment = {**os.environ, "JETWRIGHT_PROFILES": str(ROOT / "profiles"),
                   "PATH": f"{PROGRAM.parent}:{os.environ['PATH']}"}
    return subprocess.run(["sh", "-c", line], cwd=folder, env=environment, capture_output=True, text=True)


def told(page):
    """A page without the escapes of roff."""
    return re.sub(r"\\f[BR]|\\&|\\:", "", (PAGES / page).read_text().replace(r"\-", "-").replace(r"\e", "\\"))


def examples(text):
    section = text.split(".SH EXAMPLES\n")[1].split(".SH ")[0]
    return re.findall(r"^\.B (jetwright .*)$", section, re.M)


def check_command(name):
    title = "jetwright" + (f"-{name}" if name else "")
    text, usage = told(f"man1/{title}.1"), run(f"jetwright {name} --help").stdout
    shown = re.findall(r"^  (jetwright .*)$", usage, re.M)
    expect(shown and examples(text) == shown, f"{title}.1: its examples are not those of help")
    for option in re.findall(r"^  (--\S+)", usage, re.M):
        expect(re.search(rf"^{option}( |$)", text, re.M), f"{title}.1: no {option}")


def kind_of(page):
    name = page.removeprefix("jetwright-").removesuffix(".5")
    return KINDS.get(name, name)


def check_format(page):
    text, fields = told(f"man5/{page}"), run(f"jetwright list --fields {kind_of(page)}").stdout
    keys = [line.split()[0] for line in fields.splitlines()]
    expect(keys and re.findall(r"^\.TP\n\.B (\S+)$", text.split(".SH KEYS")[1].split(".SH ")[0], re.M) == keys,
           f"{page}: its keys are not those of the program")
    expect(len(examples(text)) > 1, f"{page}: less than two examples")
    for line in examples(text):
        with tempfile.TemporaryDirectory() as folder:
            done = run(line, folder)
        expect(done.returncode == 0, f"{page}: {line}\n{done.stderr}")


def check_lint(page):
    done = subprocess.run(["mandoc", "-T", "lint", "-W", "warning", page], capture_output=True, text=True)
    expect(done.returncode == 0, done.stdout + done.stderr)


def main():
    if not shutil.which("mandoc"):
        print("SKIP mandoc is missing")
        return 77
    listed = re.search(r"^Commands:\n((?:  \S.*\n)+)", run("jetwright --help").stdout, re.M)[1]
    commands = ["", *(line.split()[0] for line in listed.splitlines())]
    formats = sorted(page.name for page in (PAGES / "man5").iterdir())
    expect(len(list((PAGES / "man1").iterdir())) == len(commands), "a page of no command")
    kinds = set(map(kind_of, formats))
    known = run("jetwright list --fields no-such-kind").stderr.splitlines()[0].split("expected one of ")[1]
    expect(kinds == set(known.split(", ")), f"pages of {kinds}, kinds of file {known}")
    for name in commands:
        check_command(name)
    for page in formats:
        check_format(page)
    for page in PAGES.glob("man*/*"):
        check_lint(page)
    for fault in faults:
        print(f"FAILED {fault}")
    print(f"{len(commands)} commands, {len(formats)} kinds of file, {len(faults)} faults")
    return 1 if faults else 0


sys.exit(main())
