#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The JSON Schemas that the program prints, held against a packaged validator (the Python library jsonschema) and
against the program's own reading of the same files.

usage: check.py PROGRAM
"""
import copy
import glob
import json
import os
import re
import subprocess
import sys
import tempfile

import jsonschema
import yaml

PROGRAM = os.path.abspath(sys.argv[1])
FOLDERS = {"engines": "engine", "fuels": "fuel", "cases": "case", "readings": "readings", "classes": "engine",
           "jets": "jets"}
os.environ["JETWRIGHT_PROFILES"] = os.path.abspath("profiles")
faults = []


class Loader(yaml.SafeLoader):
    """YAML 1.2, to which "no" is a word and a date a text."""


OLD = ("tag:yaml.org,2002:bool", "tag:yaml.org,2002:timestamp")
Loader.yaml_implicit_resolvers = {first: [(tag, regexp) for tag, regexp in rows if tag not in OLD]
                                  for first, rows in yaml.SafeLoader.yaml_implicit_resolvers.items()}


def load(file):
    with open(file, encoding="utf-8") as stream:
        return yaml.load(stream, Loader)


def expect(holds, what):
    if not holds:
        faults.append(what)


def run(*words):
    return subprocess.run([PROGRAM, *words], capture_output=True, text=True)


def load_validator(kind):
    schema = json.loads(run("list", "--schema", kind).stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def leaves(tree, path=()):
    """Every value that is no block, with the keys and places that lead to it; a list, then what is in it."""
    for key, value in tree.items() if isinstance(tree, dict) else enumerate(tree):
        if not isinstance(value, dict):
            yield path + (key,), value
        if isinstance(value, (dict, list)):
            yield from leaves(value, path + (key,))


def altered(tree, path, change):
    """A copy in which `change` has been done to the block that holds the path's last key."""
    changed = copy.deepcopy(tree)
    block = changed
    for key in path[:-1]:
        block = block[key]
    change(block, path[-1])
    return changed


def misspell(block, key):
    block[key + "_x"] = block.pop(key)


def remove(block, key):
    del block[key]


def spoil(block, key):
    block[key] = "3 furlongs" if not isinstance(block[key], list) else {"no": "list"}


def change_unit(block, key):
    number, unit = re.fullmatch(QUANTITY, block[key]).groups()
    block[key] = f"{number} {'rpm' if unit != 'rpm' else 'mm'}"


def is_keyed(path, value):
    return isinstance(path[-1], str)


def always(path, value):
    return True


def is_checked(path, value):
    """Any text is a name; what value and uncertainty of a reading may be depends on the reading."""
    return path[-1] not in ("name", "about", "value", "uncertainty")


def has_unit(path, value):
    return is_checked(path, value) and isinstance(value, str) and re.fullmatch(QUANTITY, value)


QUANTITY = r"([-+.0-9]+) *([A-Za-z%]\S*)"
MUTATIONS = {"misspelt key": (misspell, is_keyed), "left out": (remove, always), "spoilt value": (spoil, is_checked),
             "unit of another kind": (change_unit, has_unit)}


def program_says(tree, folder):
    with tempfile.NamedTemporaryFile("w", suffix=".yaml", dir=folder) as file:
        yaml.safe_dump(tree, file, sort_keys=False)
        file.flush()
        answer = run("check", file.name)
    return answer.returncode == 0, answer.stderr


def compare(validator, tree, name, folder):
    """What the schema refuses the program refuses; of keys, words and units that are wrong both know."""
    count = 0
    for path, value in list(leaves(tree)):
        for word, (change, applies) in MUTATIONS.items():
            if not applies(path, value):
                continue
            mutant = altered(tree, path, change)
            where = f"{name}: {'.'.join(map(str, path))} {word}"
            by_schema = validator.is_valid(mutant)
            by_program, said = program_says(mutant, folder)
            count += 1
            expect(by_schema or not by_program, where + ": the schema refuses what the program takes")
            if word != "left out" or "is missing" in said:
                expect(not by_schema, where + ": the schema takes it")
    return count


# Faults of one key by itself, in the words of the field tables.
OF_ONE_KEY = re.compile(r"is an unknown key|is missing, expected|is (a list|a block|not a block)|is \".*\", expected "
                        r"(?!an uncertainty|-?[\d.]+ ?\S* to )")
# These look like it, but a schema has no ranges of numbers with units, what a set of jets needs depends on the rest, and
# what the value of a reading may be depends on the reading.
BEYOND = {"jets-flow-without-a-bench", "jets-none", "case-reading-out-of-range", "case-reading-without-a-unit"}


def compare_files(validators):
    """The sound files of the tests hold; of the others those do not that have a fault of one key."""
    count = 0
    for file in filter(os.path.isfile, sorted(glob.glob("tests/profiles/*/*.yaml"))):
        name = os.path.basename(file).removesuffix(".yaml")
        kind = name.split("-")[0]
        if kind not in validators:  # is about the files that it names
            continue
        sound = os.path.basename(os.path.dirname(file)) == "good"
        try:
            holds = validators[kind].is_valid(load(file))
        except (yaml.YAMLError, UnicodeDecodeError):
            holds = False
        count += 1
        if sound:
            expect(holds, f"{file}: refused")
        else:
            with open(file.replace(".yaml", ".expected"), encoding="utf-8") as stream:
                of_one_key = OF_ONE_KEY.search(stream.read()) and name not in BEYOND
            expect(not holds or not of_one_key, f"{file}: the schema takes it")
    return count


validated = mutants = 0
validators = {}
with tempfile.TemporaryDirectory() as scratch:
    for folder, kind in FOLDERS.items():
        files = sorted(glob.glob(f"profiles/{folder}/*.yaml"))
        if not files:
            continue
        validator = validators[kind] = load_validator(kind)
        for file in files:
            for error in validator.iter_errors(load(file)):
                faults.append(f"{file}: {'.'.join(map(str, error.path))}: {error.message}")
            validated += 1
        mutants += compare(validator, load(files[0]), files[0], scratch)
compared = compare_files(validators)

expect(run("list", "--schema", "sandwich").returncode == 2, "a kind of file that is none must be wrong use")
print(f"{validated} files validated, {compared} files of the tests and {mutants} mutants compared")
for fault in faults:
    print(fault)
sys.exit(1 if faults else 0)
