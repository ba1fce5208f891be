# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: readme.py [--program PROGRAM] [--done LINE]... [--update]

Runs every line of every ```sh block of README.md and of profiles/a-day.md in the project's folder, with the program as
`jetwright` on PATH (build/cli/jetwright unless named). A line that fails is a fault. Where a ```text block follows a
```sh block it must be what that block's lines print; a line ... in it stands for any lines.
--done names a line that the caller ran itself; it must be in one of them all the same.
--update writes the numbers that the program prints now into lines that differ in nothing else.
"""
import argparse
import os
import pathlib
import re
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parent.parent
PAGES = ("README.md", "profiles/a-day.md")
BLOCK = re.compile(r"^```sh\n(?P<lines>.*?)^```\n(?:\s*^```text\n(?P<output>.*?)^```\n)?", re.M | re.S)


def commands(block):
    for line in block.splitlines():
        line = re.sub(r"\s+#.*", "", line).strip()
        if line and not line.startswith("#"):
            yield line


def run(line, folder):
    print(f"$ {line}", flush=True)
    environment = {**os.environ, "PATH": f"{folder}:{os.environ['PATH']}",
                   "JETWRIGHT_PROFILES": str(ROOT / "profiles")}
    done = subprocess.run(["sh", "-c", line], cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True)
    return done.returncode, done.stdout


def agrees(printed, shown):
    pattern = "".join(r"(?:.*\n)*?" if line.strip() == "..." else re.escape(line) + "\n" for line in shown.splitlines())
    return re.fullmatch(pattern, printed) is not None


def renumbered(printed, shown):
    """What is shown with the numbers that are printed; other lines stay as they are, for a person to look at."""
    lines, left = [], printed.splitlines()
    for line in shown.splitlines():
        same = next((i for i, now in enumerate(left) if words(now) == words(line)), None)
        lines.append(line if same is None else left[same])
        left = left if same is None else left[same + 1:]
    return "\n".join(lines) + "\n"


def words(line):
    return re.sub(r"\s+", " ", re.sub(r"\d+(\.\d+)?", "#", line))


def page_faults(page, folder, done, left, update):
    """How many lines of a page ran, and how many faults that showed."""
    text = page.read_text()
    ran = faults = 0
    for block in BLOCK.finditer(text):
        printed, shown = "", block["output"]
        for line in commands(block["lines"]):
            if line in done:
                left.discard(line)
                continue
            code, output = run(line, folder)
            printed += output
            ran += 1
            if code:
                faults += 1
                print(f"FAILED with exit code {code}: {line}\n{output}")
        if shown is not None and update:
            page.write_text(page.read_text().replace(shown, renumbered(printed, shown)))
        elif shown is not None and not agrees(printed, shown):
            faults += 1
            print(f"FAILED: {page.name} shows\n{shown}\nbut the program prints\n{printed}")
    print(f"{page.name}: {ran} lines run, {faults} faults")
    return faults + (not ran)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--program", default=ROOT / "build/cli/jetwright")
    parser.add_argument("--done", action="append", default=[])
    parser.add_argument("--update", action="store_true")
    options = parser.parse_args()
    left = set(options.done)
    with tempfile.TemporaryDirectory() as folder:
        (pathlib.Path(folder) / "jetwright").symlink_to(pathlib.Path(options.program).resolve())
        faults = sum(page_faults(ROOT / page, folder, options.done, left, options.update) for page in PAGES)
    for line in left:
        faults += 1
        print(f"FAILED: no page holds the line '{line}'")
    return 1 if faults else 0


sys.exit(main())
