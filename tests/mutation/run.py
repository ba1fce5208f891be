#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Changes one place of lib/ at a time, drawn at random, and sees whether the unit tests notice. Works in a copy under
build-mutation/; begun again with the same seed it goes on where it stopped. Prints each mutant, at the end the share
that was noticed and those that survived; README.md tells why the last ones did.

What the compiler makes nothing else of, or does not take, is not counted. The unit tests of the mutant's module run
first, then those of modules that build on it, the nearest first, the quick tests of a module before the slow ones, up to
the first that fails. What takes far longer than it did is noticed too."""
import argparse
import hashlib
import json
import math
import os
import pathlib
import re
import resource
import shlex
import shutil
import signal
import subprocess
import sys
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests/layering"))
import check as layering  # noqa: E402 the reader of the module table

import mutants  # noqa: E402

WORK = ROOT / "build-mutation"
TREE, BUILD = WORK / "tree", WORK / "build"
AIM = 85.0
CPU_SECONDS = 120  # of one test process
# Of the time without a mutant, and seconds beside.
PATIENCE, PATIENCE_SECONDS = 6, 60


def is_alike(source, copy):
    if source.is_symlink() or copy.is_symlink():
        return source.is_symlink() and copy.is_symlink() and source.readlink() == copy.readlink()
    return copy.is_file() and copy.read_bytes() == source.read_bytes()


def copy_tree():
    """What git knows, as it lies here; what is alike keeps its time, so that little is built anew."""
    names = subprocess.run(["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"], cwd=ROOT, check=True,
                           stdout=subprocess.PIPE, text=True).stdout.split("\0")
    for name in filter(None, names):
        source, copy = ROOT / name, TREE / name
        if os.path.lexists(source) and not is_alike(source, copy):
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.unlink(missing_ok=True)
            shutil.copy(source, copy, follow_symlinks=False)


def run(words, folder=None):
    return subprocess.run(words, cwd=folder or BUILD, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)


def program(module):
    return f"test_unit_{module}"


def compile_words(name, output):
    """How the build compiles a source of lib/, but to another object."""
    for row in json.loads((BUILD / "compile_commands.json").read_text()):
        if row["file"] == str(TREE / name):
            words = shlex.split(row["command"])
            words[words.index("-o") + 1] = str(output)
            return words
    sys.exit(f"{name} is not built")


def link_words(module, mutant):
    """How the build links the tests of a module, but to another program and with the mutant before the library, which
    then gives all but that."""
    listed = run(["ninja", "-t", "commands", f"tests/{program(module)}"]).stdout
    words = shlex.split(listed.splitlines()[-1].replace("&&", ""))
    words = [word for word in words if word != ":"]
    words[words.index("-o") + 1] = f"tests/{program(module)}_mutant"
    words.insert(words.index("lib/libjetwright.a"), str(mutant))
    return words


def tested_modules():
    return [folder.name for folder in sorted((ROOT / "tests/unit").iterdir())]


def order_for(module, graph):
    """Modules with unit tests, the mutant's own first, then by how little lies between."""
    above = [m for m in tested_modules() if m == module or module in graph[m]]
    return sorted(above, key=lambda m: (m != module, len(graph[m] - graph[module]), m))


def tests_of(module):
    """Each test as the program's --filter takes it."""
    tests, suite = [], None
    for line in run([BUILD / "tests" / program(module), "--list"]).stdout.splitlines():
        if heading := re.match(r"(\w+): \d+ tests?$", line):
            suite = heading[1]
        elif name := re.search(r"\w+$", line):
            tests.append(f"{suite}/{name[0]}")
    return tests


def run_test(program_name, test, most_seconds):
    """'passed', 'failed', or 'too long'; and how long it took."""
    def limit():
        os.setsid()
        resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
    begun = time.monotonic()
    child = subprocess.Popen([BUILD / "tests" / program_name, "-j1", "--filter", test], cwd=TREE, preexec_fn=limit,
                             stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        verdict = "failed" if child.wait(most_seconds) else "passed"
    except subprocess.TimeoutExpired:
        os.killpg(child.pid, signal.SIGKILL)  # its own group, workers included
        child.wait()
        verdict = "too long"
    return verdict, time.monotonic() - begun


def prepare():
    """Builds everything once; returns how long each test of each module takes where nothing is changed."""
    copy_tree()
    words = ["cmake", "-S", TREE, "-B", BUILD, "-G", "Ninja", "-DCMAKE_BUILD_TYPE=None", "-DCMAKE_C_FLAGS=-O1",
             "-DCMAKE_EXPORT_COMPILE_COMMANDS=ON", f"-DPython3_EXECUTABLE={sys.executable}"]
    for step in (words, ["cmake", "--build", BUILD, "--target", *map(program, tested_modules())]):
        done = run(step, ROOT)
        if done.returncode:
            sys.exit(done.stdout)
    times = WORK / f"times-{digest_of_sources()}.json"
    if times.exists():
        return json.loads(times.read_text())
    seconds = {module: {} for module in tested_modules()}
    for module, of_tests in seconds.items():
        for test in tests_of(module):
            verdict, of_tests[test] = run_test(program(module), test, 3600)
            if verdict != "passed":
                sys.exit(f"unit/{module} {test} fails without any mutant")
        print(f"unit/{module}: {len(of_tests)} tests take {sum(of_tests.values()):.1f} s", flush=True)
    times.write_text(json.dumps(seconds))
    return seconds


def digest_of_sources():
    digest = hashlib.sha256(pathlib.Path(__file__).read_bytes())
    for folder in ("include", "lib", "tests/unit", "tests/support"):
        for file in sorted((ROOT / folder).glob("**/*.[ch]")):
            digest.update(file.read_bytes())
    return digest.hexdigest()[:12]


def compile_mutant(mutant):
    """The object, or None where the compiler refuses or makes the same of it."""
    file, output = TREE / mutant.file, WORK / "mutant.o"
    present = BUILD / "lib/CMakeFiles/jetwright_objects.dir" / (mutant.file.removeprefix("lib/") + ".o")
    text = file.read_text()
    file.write_text("\n".join(mutant.apply(text.split("\n"))))
    done = run(compile_words(mutant.file, output))
    file.write_text(text)
    return None if done.returncode or output.read_bytes() == present.read_bytes() else output


def try_mutant(mutant, graph, seconds, longest):
    """What became of it."""
    output = compile_mutant(mutant)
    if not output:
        return "is none"
    for module in order_for(mutant.file.split("/")[1], graph):
        linked = run(link_words(module, output))
        if linked.returncode:
            sys.exit(linked.stdout)
        for test in sorted(seconds[module], key=seconds[module].get):
            if seconds[module][test] > longest:
                break
            verdict, _ = run_test(f"{program(module)}_mutant", test, PATIENCE * seconds[module][test] + PATIENCE_SECONDS)
            if verdict != "passed":
                return f"noticed by unit/{module} {test}" + (" (too long)" if verdict == "too long" else "")
    return "survived"


def summary(tried):
    """Prints what was found; returns the share noticed."""
    counted = [(m, v) for m, v in tried if v == "survived" or v.startswith("noticed")]
    survivors = [m for m, v in counted if v == "survived"]
    for mutant in survivors:
        print("SURVIVED", mutant.told((ROOT / mutant.file).read_text().split("\n")))
    share = 100.0 * (1 - len(survivors) / len(counted)) if counted else 0.0
    print(f"{len(counted)} mutants, {len(counted) - len(survivors)} noticed: {share:.1f} %, aim {AIM:.0f} %; "
          f"{len(tried) - len(counted)} drawn besides that change nothing or do not build")
    return share


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=100, help="mutants that build and change something")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=60, help="after which no further one is begun")
    parser.add_argument("--longest", type=float, default=math.inf, help="seconds; tests that take longer are left out, which "
                        "makes of what is noticed a lower bound")
    parser.add_argument("--only", default="lib/", help="what the file's path begins with")
    args = parser.parse_args()
    graph = layering.read_graph(ROOT)
    seconds = prepare()
    notes = WORK / f"seed-{args.seed}-{args.longest}-{digest_of_sources()}.jsonl"
    known = dict(map(json.loads, notes.read_text().splitlines())) if notes.exists() else {}
    end, tried, counted = time.monotonic() + 60 * args.minutes, [], 0
    for mutant in mutants.draw(ROOT, args.seed, args.only):
        told = mutant.told((ROOT / mutant.file).read_text().split("\n"))
        if counted == args.count or (told not in known and time.monotonic() > end):
            break
        if told not in known:
            known[told] = try_mutant(mutant, graph, seconds, args.longest)
            with notes.open("a") as file:
                file.write(json.dumps([told, known[told]]) + "\n")
            print(f"{known[told]}: {told}", flush=True)
        tried.append((mutant, known[told]))
        counted += known[told] == "survived" or known[told].startswith("noticed")
    sys.exit(0 if summary(tried) >= AIM else 1)


main()
