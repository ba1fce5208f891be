# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: contract.py INCLUDE_DIR EXAMPLES_DIR

Every public function has a doc block of its own that tells what DEVELOPERS.md asks of a public header, as far as a
script can see: the unit of what is given and returned, the range of what is given, which errors come back, where a law
comes from; and an example calls it. Every type and macro has a doc block too, and a number in a struct a unit in its
name or a comment.
"""
import pathlib
import re
import sys

FUNCTION = re.compile(r"(?:/\*\*(?!<)(?P<doc>(?:(?!\*/).)*)\*/\n)?"
                      r"^JW_API (?P<type>[^;(]*?[ *])(?P<name>jw_\w+)\((?P<given>[^;]*)\);", re.M | re.S)
NUMBER = re.compile(r"^(?P<input>const )?double (?P<pointer>\*?)(?P<name>\w+)(?:\[\w+\])?$")
TYPE_OR_MACRO = re.compile(r"(?:typedef (?:struct|enum) (\w+) \{|#define (JW_(?!X\b|API\b)\w+))")
MEMBER = re.compile(r"\tdouble (?P<names>[^;]+);(?P<comment> */\*\*<)?")
UNIT_IN_NAME = re.compile(r"_(m|m2|m3|pa|k|s|kg|kg_s|kg_m3|m3_s|m2_s|m_s|rev_s|rad|rad_s|pa_s|j_kg|j_kg_k|n|n_m)$")


def any_of(*words):
    return re.compile(r"(?<![\w/])(" + "|".join(words) + r")(?![\w/])", re.I)


UNIT = any_of("m", "m2", "m3", "Pa", "K", "s", "kg", "kg/s", "kg/m3", "m3/s", "Pa s", "rad", "bit", "minutes", "SI", "unit",
              "share", "fraction", "factor", "ratio", "coefficient", "expansibility", "probability", "lambda",
              r"ln\(phi\)", "how often", r"0\.\.1")
RANGE = re.compile(r"\d\.\.|\.\.\d|\b(above|below|held|clamped|any|as accepted|sum to 1)\b|>=|[<>] ?\w")
SOURCE = any_of(r"1[89]\d\d", r"20[0-2]\d", "ISO", "SAE", "JCGM", "ASHRAE", "API", "CIPM", "ICAO", "DIPPR", "IAPWS", "ANSI",
                "geometry", "definition", "no source", "judgement", "from memory", "Darcy", "Sutherland")
EMPTY = re.compile(r"\\param(?:\[[\w,]+\])? (\w+)\s*(?=\n \* \\|$)")
INHERITS = re.compile(r"\bas (of |for |by |in )?::jw_")
LAWS = {"air", "bank", "carburetor", "circuit", "cycle", "engine", "flow", "fuel", "jet", "supply", "transient", "uncertainty"}


def undocumented(text):
    """Types, macros and numbers of structs."""
    own_doc = False  # whether the line before ends a doc block, not a comment beside a member
    inside_beside = False
    for line in text.splitlines():
        if (found := TYPE_OR_MACRO.match(line)) and not own_doc:
            yield f"{found[1] or found[2]} has no doc block"
        if (found := MEMBER.match(line)) and not found["comment"] and not own_doc:
            for name in (re.sub(r"\[.*", "", name) for name in found["names"].split(", ")):
                if not UNIT_IN_NAME.search(name):
                    yield f"member {name} has neither unit nor comment"
        own_doc = line.endswith("*/") and "/**<" not in line and not inside_beside
        inside_beside = ("/**<" in line or inside_beside) and "*/" not in line


def numbers(given):
    """The parameters that are numbers; a callback's own are not."""
    plain = re.sub(r"\([^()]*\)", "", " ".join(given.split()))
    return [found for found in map(NUMBER.match, plain.split(", ")) if found]


def untold(module, function, examples):
    doc, name, returned = function["doc"], function["name"], function["type"].strip()
    if not doc:
        yield "has no doc block of its own"
        return
    for empty in EMPTY.findall(doc):
        yield f"says nothing of {empty}"
    given = numbers(function["given"])
    inherits = INHERITS.search(doc)
    for number in given:
        if not UNIT_IN_NAME.search(number["name"]) and not re.search(rf"\b{number['name']}\b", doc):
            yield f"does not say what {number['name']} is, in which unit"
    if any(not number["pointer"] or number["input"] for number in given) and not inherits and not RANGE.search(doc):
        yield "names no range"
    if returned == "jw_status" and not re.search(r"\\return[^\\]*(JW_|\bas\b|warnings)", doc, re.S):
        yield "does not say which errors it returns"
    if returned == "double" and not UNIT.search(doc):
        yield "does not say the unit of what it returns"
    if returned.endswith("*") and not re.search(r"NULL|empty|never", doc, re.I):
        yield "does not say whether it may return NULL"
    if module in LAWS and returned in ("double", "jw_status") and not inherits and not SOURCE.search(doc):
        yield "names no source"
    if not re.search(rf"\b{name}\(", examples):
        yield "stands in no example"


def main():
    include, folder = map(pathlib.Path, sys.argv[1:])
    examples = "".join(path.read_text() for path in sorted(folder.glob("*.c")))
    functions, faults = 0, []
    for header in sorted(include.rglob("*.h")):
        text = header.read_text()
        faults += [f"{header.name}: {fault}" for fault in undocumented(text)]
        for function in FUNCTION.finditer(text):
            functions += 1
            faults += [f"{header.name}: {function['name']} {fault}" for fault in untold(header.stem, function, examples)]
    print(*faults, f"{functions} functions, {len(faults)} faults", sep="\n")
    return 1 if faults or not functions else 0


sys.exit(main())
