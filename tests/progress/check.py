# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: check.py PROGRAM

What a long computation says of itself: a line on a terminal that is gone at the end; nothing on a pipe, nor on a terminal
that cannot erase. The answer is the same.
"""
import fcntl
import os
import pathlib
import pty
import subprocess
import struct
import sys
import tempfile
import termios

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
ERASE = "\r\033[K"


def environment(terminal):
    return {**os.environ, "JETWRIGHT_PROFILES": str(ROOT / "profiles"), "TERM": terminal}


def piped(*arguments):
    done = subprocess.run([sys.argv[1], *arguments], env=environment("xterm"), capture_output=True, text=True, check=True)
    return done.stdout, done.stderr


def on_terminal(terminal, *arguments, columns=80):
    """Standard error is a terminal, standard output a file."""
    master, slave = pty.openpty()
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    shown = b""
    process = subprocess.Popen([sys.argv[1], *arguments], env=environment(terminal), stdout=subprocess.PIPE, stderr=slave)
    os.close(slave)
    try:
        while chunk := os.read(master, 4096):
            shown += chunk
    except OSError:  # its other end is closed
        pass
    answer = process.communicate()[0].decode()
    assert process.returncode == 0, shown
    os.close(master)
    return answer, shown.decode().replace("\r\n", "\n")


def check(command, lines):
    answer, warnings = piped(*command)
    told, shown = on_terminal("xterm", *command)
    assert told == answer
    stages = shown.split(ERASE)
    assert stages[0] == "" and stages[-1] == warnings, shown
    assert stages[1:-1] == lines, shown
    return answer, warnings


def main():
    road = ["rejet", "courier-150", "--plan", "0m:1000m", "--jets", "metric-steps"]
    quiet = check(road, ["Finding the fewest sets of jets ..."])
    assert on_terminal("dumb", *road) == quiet
    narrow = on_terminal("xterm", *road, columns=20)[1].split(ERASE)
    assert narrow[1] == "Finding the fewest sets"[:19], narrow  # in one row, or it is not erased
    with tempfile.TemporaryDirectory() as folder:
        tabled = str(pathlib.Path(folder) / "tabled.yaml")
        check(["fit", "courier-150", "--cycle", "--write", tabled],
              [f"Cycles for the pulse table: {i} of 8" for i in range(1, 9)])
        check(["rejet", tabled, "--compression", "8"], ["Cycles for a new pulse table ..."])
        assert ERASE not in on_terminal("xterm", "rejet", tabled, "--temperature", "30C")[1]
        case = pathlib.Path(folder) / "long.yaml"
        case.write_text("case: 1\nabout: Long.\nclass: moped-50\nhistory: {months_standing: 3}\nvisits:\n" + 4 * (
            "  - evidence: [{seen: flat, at: full}]\n    done: [main_jet_restricted]\n    result: same\n"))
        check(["explain", str(case)], ["Weighing visit by visit ..."])
    short = on_terminal("xterm", "jet", "--mark", "58", "--as", "number_drill")
    assert ERASE not in short[1]


main()
