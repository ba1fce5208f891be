# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: contract.py INCLUDE_DIR EXAMPLES_DIR

Every public function has a doc block of its own that tells what DEVELOPERS.md asks of a public header, as far as a script
can see: the unit of what is given and returned, the range of what is given, which errors come back, where a law comes
from; and an example calls it. Every type and macro has one too, and a number in a struct a unit in its name or a comment.
"""
import pathlib
import re
import sys

FUNCTION = re.compile(r"(?:/\*\*(?!<)(?P<doc>(?:(?!\*/).)*)\*/\n)?^JW_API (?P<type>[^;(]*?[ *])(?P<name>jw_\w+)\((?P<given>[^;]*)\);",
                      re.M | re.S)
NUMBER = re.compile(r"^(?P<input>const )?double (?P<pointer>\*?)(?P<name>\w+)(?P<array>\[\w+\])?$")
UNIT_IN_NAME = re.compile(r"_(m|m2|m3|pa|k|s|kg|kg_s|kg_m3|m3_s|m2_s|m_s|rev_s|rad|rad_s|pa_s|j_kg|j_kg_k|n|n_m)$")
UNIT = re.compile(r"(?<![\w/])(m|m2|m3|Pa|K|s|kg|kg/s|kg/m3|m3/s|Pa s|rad|bit|[Mm]inutes|SI|unit|[Ss]hare|[Ff]raction|[Ff]actor|[Rr]atio|"
                  r"coefficient|[Vv]olume correction|[Ee]xpansibility|[Pp]robability|[Ll]ambda|ln\(phi\)|[Hh]ow often|0\.\.1)(?![\w/])")
RANGE = re.compile(r"\d\.\.|\.\.\d|\babove\b|\bbelow\b|>=|[<>] ?\w|\bheld\b|\bclamped\b|\bany\b|\bas accepted\b|sum to 1")
SOURCE = re.compile(r"\b(1[89]\d\d|20[0-2]\d)\b|\b(ISO|SAE|JCGM|ASHRAE|API|CIPM|ICAO|DIPPR|IAPWS|ANSI)\b|[Gg]eometry|[Dd]efinition|"
                    r"no source|judgement|from memory|common practice|Sutherland|Darcy|Newton|Bayes|[Ee]stimate|Chisholm|Shapley")
LAWS = {"air", "bank", "carburetor", "circuit", "cycle", "engine", "flow", "fuel", "jet", "supply", "transient", "uncertainty"}


TYPE_OR_MACRO = re.compile(r"(?:typedef (?:struct|enum) (\w+) \{|#define (JW_(?!X\b|API\b)\w+))")
MEMBER = re.compile(r"\tdouble (?P<names>[^;]+);(?P<comment> */\*\*<)?")


def undocumented(text):
    """Types, macros and numbers of structs."""
    own_doc = False  # whether the line before ends a doc block, not a comment beside a member
    inside_beside = False
    for line in text.splitlines():
        if (found := TYPE_OR_MACRO.match(line)) and not own_doc:
            yield f"{found[1] or found[2]} has no doc block"
        if (found := MEMBER.match(line)) and not found["comment"] and not own_doc:
            names = [re.sub(r"\[.*", "", name) for name in found["names"].split(", ")]
            yield from (f"member {name} has neither unit nor comment" for name in names if not UNIT_IN_NAME.search(name))
        own_doc = line.endswith("*/") and "/**<" not in line and not inside_beside
        inside_beside = ("/**<" in line or inside_beside) and "*/" not in line


def split(given):
    given = re.sub(r"\([^()]*\)", "", " ".join(given.split()))
    return [] if given == "void" else given.split(", ")


def faults_of(module, doc, returned, given, examples, name):
    inherits = re.search(r"\bas (of |for |by |in )?::jw_", doc or "")
    if not doc:
        yield "has no doc block of its own"
        return
    numbers = [match for match in map(NUMBER.match, given) if match]
    for number in numbers:
        if not UNIT_IN_NAME.search(number["name"]) and not re.search(rf"\b{number['name']}\b", doc):
            yield f"does not say what {number['name']} is, in which unit"
    if any(not number["pointer"] or number["input"] for number in numbers) and not inherits and not RANGE.search(doc):
        yield "names no range"
    if returned == "jw_status" and not re.search(r"\\return[^\\]*(JW_|\bas\b|warnings)", doc, re.S):
        yield "does not say which errors it returns"
    if returned == "double" and not UNIT.search(doc):
        yield "does not say the unit of what it returns"
    if returned.endswith("*") and not re.search(r"NULL|\"\"|[Ee]mpty|[Nn]ever", doc):
        yield "does not say whether it may return NULL"
    if module in LAWS and returned in ("double", "jw_status") and not inherits and not SOURCE.search(doc):
        yield "names no source"
    if not re.search(rf"\b{name}\(", examples):
        yield "stands in no example"


def main():
    include, folder = map(pathlib.Path, sys.argv[1:])
    examples = "".join(path.read_text() for path in sorted(folder.glob("*.c")))
    functions = faults = 0
    for header in sorted(include.rglob("*.h")):
        text = header.read_text()
        for fault in undocumented(text):
            print(f"{header.name}: {fault}")
            faults += 1
        for found in FUNCTION.finditer(text):
            functions += 1
            for fault in faults_of(header.stem, found["doc"], found["type"].strip(), split(found["given"]), examples, found["name"]):
                print(f"{header.name}: {found['name']} {fault}")
                faults += 1
    print(f"{functions} functions, {faults} faults")
    return 1 if faults or not functions else 0


sys.exit(main())
