# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: readme.py [--program PROGRAM] [--done LINE]...

Runs every line of every ```sh block of README.md in the project's folder, with the program as `jetwright` on PATH
(build/cli/jetwright unless named). A line that fails is a fault. Where a ```text block follows a ```sh block it must be
what that block's lines print; a line ... in it stands for any lines.
--done names a line that the caller ran itself; it must be in README.md all the same.
"""
import argparse
import os
import pathlib
import re
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parent.parent
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


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--program", default=ROOT / "build/cli/jetwright")
    parser.add_argument("--done", action="append", default=[])
    options = parser.parse_args()
    left = set(options.done)
    ran = faults = 0
    with tempfile.TemporaryDirectory() as folder:
        (pathlib.Path(folder) / "jetwright").symlink_to(pathlib.Path(options.program).resolve())
        for block in BLOCK.finditer((ROOT / "README.md").read_text()):
            printed = ""
            for line in commands(block["lines"]):
                if line in options.done:
                    left.discard(line)
                    continue
                code, output = run(line, folder)
                printed += output
                ran += 1
                if code:
                    faults += 1
                    print(f"FAILED with exit code {code}: {line}\n{output}")
            if block["output"] is not None and not agrees(printed, block["output"]):
                faults += 1
                print(f"FAILED: README.md shows\n{block['output']}\nbut the program prints\n{printed}")
    for line in left:
        faults += 1
        print(f"FAILED: README.md does not hold the line '{line}'")
    print(f"README.md: {ran} lines run, {faults} faults")
    return 1 if faults or not ran else 0


sys.exit(main())
