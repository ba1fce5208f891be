# SPDX-License-Identifier: GPL-3.0-or-later
"""A copy of the sources under build-mutation/, what is built of it, and one unit test run by itself."""
import functools
import json
import os
import pathlib
import re
import shlex
import shutil
import signal
import subprocess
import sys
import threading

ROOT = pathlib.Path(__file__).resolve().parents[2]
WORK = ROOT / "build-mutation"
TREE = WORK / "tree"
PLAIN, COUNTING = WORK / "plain", WORK / "counting"
FLAGS = {PLAIN: "-O2", COUNTING: "-O0 --coverage"}
MOST_BYTES = 4 << 30  # of a test's memory
one_at_a_time = threading.Lock()  # changes a source


def run(words, folder):
    return subprocess.run(words, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)


def run_or_end(words, folder):
    done = run(words, folder)
    if done.returncode:
        sys.exit(done.stdout)
    return done.stdout


def is_alike(source, copy):
    if source.is_symlink() or copy.is_symlink():
        return source.is_symlink() and copy.is_symlink() and source.readlink() == copy.readlink()
    return copy.is_file() and copy.read_bytes() == source.read_bytes()


def copy_tree():
    """What git knows, as it lies here; what is alike keeps its time, so that little is built anew."""
    names = subprocess.run(["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"], cwd=ROOT, check=True,
                           stdout=subprocess.PIPE, text=True).stdout.split("\0")
    names = {name for name in names if name and os.path.lexists(ROOT / name)}
    for copy in list(TREE.rglob("*")):
        if (copy.is_symlink() or not copy.is_dir()) and str(copy.relative_to(TREE)) not in names:
            copy.unlink()
    for name in names:
        source, copy = ROOT / name, TREE / name
        if not is_alike(source, copy):
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.unlink(missing_ok=True)
            shutil.copy(source, copy, follow_symlinks=False)


def prepare():
    copy_tree()
    for build in FLAGS:
        make(build)


def make(build):
    """The unit tests, as FLAGS say."""
    run_or_end(["cmake", "-S", TREE, "-B", build, "-G", "Ninja", "-DCMAKE_BUILD_TYPE=None", f"-DCMAKE_C_FLAGS={FLAGS[build]}",
                "-DCMAKE_EXPORT_COMPILE_COMMANDS=ON", f"-DPython3_EXECUTABLE={sys.executable}"], ROOT)
    run_or_end(["cmake", "--build", build, "--target", *map(program, modules())], ROOT)


def modules():
    """Those that have unit tests."""
    return [folder.name for folder in sorted((ROOT / "tests/unit").iterdir())]


def program(module):
    return f"test_unit_{module}"


def tests_of(build, module):
    """Each test as the program's --filter takes it."""
    tests, suite = [], None
    for line in run_or_end([build / "tests" / program(module), "--list"], build).splitlines():
        if heading := re.match(r"(\w+): \d+ tests?$", line):
            suite = heading[1]
        elif name := re.search(r"\w+$", line):
            tests.append(f"{suite}/{name[0]}")
    return tests


def run_test(path, test, most_seconds):
    """'passed', 'failed' or 'too long', and the seconds of CPU it took. The limit holds for those, as a machine that does
    other things besides gives them late; on the clock a test gets twenty times as long."""
    limits = ["prlimit", f"--cpu={most_seconds}", f"--as={MOST_BYTES}"]
    child = subprocess.Popen([*limits, path, "-j1", "--filter", test], cwd=TREE, start_new_session=True,
                             stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    patience = threading.Timer(20 * most_seconds, os.killpg, (child.pid, signal.SIGKILL))  # workers included
    patience.start()
    _, status, spent = os.wait4(child.pid, 0)
    patience.cancel()
    child.returncode = os.waitstatus_to_exitcode(status)
    seconds = spent.ru_utime + spent.ru_stime
    too_long = seconds >= most_seconds or child.returncode == -signal.SIGKILL
    return "too long" if too_long else "failed" if child.returncode else "passed", seconds


@functools.cache
def compile_commands():
    return {row["file"]: shlex.split(row["command"]) for row in json.loads((PLAIN / "compile_commands.json").read_text())}


def compile_mutant(mutant, output):
    """Whether it makes another object, rather than the same or none. Warnings, which end the build, do not end this."""
    file = TREE / mutant.file
    words = [*compile_commands()[str(file)], "-w"]
    place = words.index("-o") + 1
    present, words[place] = PLAIN / words[place], str(output)
    with one_at_a_time:
        text = file.read_text()
        file.write_text("\n".join(mutant.apply(text.split("\n"))))
        done = run(words, PLAIN)
        file.write_text(text)
    return not done.returncode and output.read_bytes() != present.read_bytes()


@functools.cache
def link_command(module):
    listed = run_or_end(["ninja", "-t", "commands", f"tests/{program(module)}"], PLAIN)
    return [word for word in shlex.split(listed.splitlines()[-1]) if word not in (":", "&&")]


def link_mutant(module, output):
    """The tests of a module with the mutant before the library, which then gives all but that."""
    words = list(link_command(module))
    linked = output.with_name(f"{output.stem}_{module}")
    words[words.index("-o") + 1] = str(linked)
    words.insert(words.index("lib/libjetwright.a"), str(output))
    run_or_end(words, PLAIN)
    return linked
