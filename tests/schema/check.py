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
    """YAML 1.2, to which "no" is a word."""


Loader.yaml_implicit_resolvers = {first: [(tag, regexp) for tag, regexp in rows if tag != "tag:yaml.org,2002:bool"]
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
    """Every value that is no block, with the keys that lead to it."""
    for key, value in tree.items():
        if isinstance(value, dict):
            yield from leaves(value, path + (key,))
        else:
            yield path + (key,), value


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


MUTATIONS = {"misspelt key": misspell, "left out": remove, "spoilt value": spoil}


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
        for word, change in MUTATIONS.items():
            if word == "spoilt value" and path[-1] in ("name", "about"):
                continue  # any text is one
            mutant = altered(tree, path, change)
            where = f"{name}: {'.'.join(path)} {word}"
            by_schema = validator.is_valid(mutant)
            by_program, said = program_says(mutant, folder)
            count += 1
            expect(by_schema or not by_program, where + ": the schema refuses what the program takes")
            if word != "left out" or "is missing" in said:
                expect(not by_schema, where + ": the schema takes it")
    return count


validated = mutants = 0
with tempfile.TemporaryDirectory() as scratch:
    for folder, kind in FOLDERS.items():
        files = sorted(glob.glob(f"profiles/{folder}/*.yaml"))
        if not files:
            continue
        validator = load_validator(kind)
        for file in files:
            for error in validator.iter_errors(load(file)):
                faults.append(f"{file}: {'.'.join(map(str, error.path))}: {error.message}")
            validated += 1
        mutants += compare(validator, load(files[0]), files[0], scratch)

expect(run("list", "--schema", "sandwich").returncode == 2, "a kind of file that is none must be wrong use")
print(f"{validated} files validated, {mutants} mutants compared")
for fault in faults:
    print(fault)
sys.exit(1 if faults else 0)
