# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: declare.py INCLUDE_DIR OUTPUT

Reads the public headers and writes what they declare, with their comments, as Python literals for the binding. It knows
the C that these headers use and no more: anything else is an error, never left out.
"""
import pathlib
import pprint
import re
import sys

TOKEN = re.compile(r"/\*\*.*?\*/|[A-Za-z_]\w*|\d+|[{}()\[\];,=*+-]", re.S)
WORDS = {"const", "struct", "enum"}


def expand_lists(text):
    """Writes out `JW_SOME_LIST(JW_X)` by the definitions of the list and of JW_X."""
    text = text.replace("\\\n", " ")
    lists = dict(re.findall(r"^#define (JW_\w+_LIST)\(X\)(.*)$", text, re.M))
    item = None

    def expand(line):
        nonlocal item
        definition = re.match(r"#define JW_X\((.*?)\) (.*)", line)
        if definition:
            item = definition[1].split(", "), definition[2]
            return ""

        def written(use):
            names, form = item
            rows = re.findall(r'X\((\w+), ([^,]+), ("[^"]*")\)', lists[use[1]])
            filled = (dict(zip(names, row)) for row in rows)
            return " ".join(re.sub(r"\w+", lambda word: values.get(word[0], word[0]), form) for values in filled)

        return line if line.startswith("#") else re.sub(r"(JW_\w+_LIST)\(JW_X\)", written, line)

    return "\n".join(expand(line) for line in text.split("\n"))


def comment(token):
    """The text of a documentation comment, without its stars."""
    lines = token.removeprefix("/**").removeprefix("<").removesuffix("*/").split("\n")
    return "\n".join(re.sub(r"^\s*\* ?", "", line).strip() for line in lines).strip()


def arithmetic(text, known):
    """The number that constants and operators come to; None where there is more than these."""
    digits = re.sub(r"JW_\w+", lambda word: str(known.get(word[0], word[0])), text)
    return eval(digits, {"__builtins__": {}}) if re.fullmatch(r"[-+*/(). \deE]+", digits) else None


class Reader:
    """Walks the tokens of one header."""

    def __init__(self, text, constants):
        text = re.sub(r"/\*(?!\*).*?\*/", "", text, flags=re.S)
        if TOKEN.sub("", text).split():
            raise SystemExit(f"declare.py: cannot read {TOKEN.sub('', text).split()}")
        self.tokens = TOKEN.findall(text)
        self.place = 0
        self.constants = constants

    def peek(self, ahead=0):
        place = self.place + ahead
        return self.tokens[place] if place < len(self.tokens) else ""

    def take(self, *expected):
        token = self.peek()
        if not token or expected and token not in expected:
            near = " ".join(self.tokens[max(0, self.place - 8):self.place + 8])
            raise SystemExit(f"declare.py: expected {' or '.join(expected) or 'more'} at: {near}")
        self.place += 1
        return token

    def taken(self, token):
        if self.peek() == token:
            self.place += 1
            return True
        return False

    def doc_before(self):
        doc = ""
        while self.peek().startswith("/**") and not self.peek().startswith("/**<"):
            doc = comment(self.take())
        return doc

    def doc_after(self):
        return comment(self.take()) if self.peek().startswith("/**<") else ""

    def base(self):
        """(name, is const) of `const struct jw_x`."""
        const = False
        while self.peek() in WORDS:
            const |= self.take() == "const"
        return self.take(), const

    def declarator(self, base, const):
        """(name, (base, stars, const, dimensions)) of `*name[SIZE]`."""
        stars = 0
        while self.peek() in ("*", "const"):
            stars += self.take() == "*"
        name, dimensions = self.take(), []
        while self.taken("["):
            dimensions.append(self.number("]"))
            self.take("]")
        return name, (base, stars, const, tuple(dimensions))

    def number(self, end):
        """The whole number before one of the ending tokens."""
        words = []
        while self.peek() not in end:
            words.append(self.take())
        return arithmetic(" ".join(words), self.constants)

    def members(self):
        rows = []
        self.take("{")
        doc = self.doc_before()
        while not self.taken("}"):
            base, const = self.base()
            declared = [self.declarator(base, const)]
            while self.taken(","):
                declared.append(self.declarator(base, const))
            self.take(";")
            doc = self.doc_after() or doc
            rows += [(name, kind, doc) for name, kind in declared]
            doc = self.doc_before()
        return rows

    def enumerators(self):
        rows, value = [], 0
        self.take("{")
        while not self.taken("}"):
            doc, name = self.doc_before(), self.take()
            if self.taken("="):
                value = self.number(",}")
            self.constants[name] = value
            self.taken(",")
            rows.append((name, value, self.doc_after() or doc))
            value += 1
        return rows

    def parameters(self):
        rows = []
        self.take("(")
        while not self.taken(")"):
            if self.peek() == "void" and self.peek(1) == ")":
                self.take()
                continue
            rows.append(self.declarator(*self.base()))
            self.taken(",")
        return rows


def read_constants(text, found):
    """Numbers that the header defines."""
    for doc, name, body in re.findall(r"^(?:/\*\*([^\n]*)\*/\n)?#define (JW_\w+) (.+)$", text, re.M):
        number = arithmetic(body, found["known"])
        if number is not None:
            found["known"][name] = number
            found["CONSTANTS"].append((name, number, doc.strip()))


def read_header(text, found):
    text = re.sub(r"^#ifdef __cplusplus\n.*?^#endif\n", "", text, flags=re.M | re.S)
    read_constants(text, found)
    reader = Reader(re.sub(r"^#.*$", "", expand_lists(text), flags=re.M), found["known"])
    doc = reader.doc_before()
    while reader.peek():
        word = reader.take("JW_API", "enum", "typedef")
        if word == "JW_API":
            name, result = reader.declarator(*reader.base())
            found["FUNCTIONS"].append((name, result, reader.parameters(), doc))
        elif word == "enum":
            found["ENUMS"].append((reader.take(), reader.enumerators(), doc))
        else:
            read_typedef(reader, doc, found)
        reader.take(";")
        doc = reader.doc_before()


def read_typedef(reader, doc, found):
    kind = reader.peek()
    if kind in ("struct", "enum"):
        reader.take()
        tag = reader.take()
        if reader.peek() != "{":
            reader.take(tag)
            found["HANDLES"].append((tag, doc))
        elif kind == "enum":
            found["ENUMS"].append((tag, reader.enumerators(), doc))
            reader.take(tag)
        else:
            found["STRUCTS"].append((tag, reader.members(), doc))
            reader.take(tag)
        return
    base, _ = reader.base()
    if reader.taken("("):
        reader.take("*")
        name = reader.take()
        reader.take(")")
        found["CALLBACKS"].append((name, (base, 0, False, ()), reader.parameters(), doc))
    else:
        found["ALIASES"].append((reader.take(), base, doc))


def headers_below(include, name, seen):
    """Texts of a header and of those that it includes, each after what it builds on."""
    if name in seen:
        return []
    seen.add(name)
    text = (include / "jetwright" / name).read_text()
    inner = re.findall(r"^#include <jetwright/(\w+\.h)>", text, re.M)
    return [each for header in inner for each in headers_below(include, header, seen)] + [text]


def check_types(found):
    """Every type is one of C's that the binding knows, or declared."""
    known = {"double", "int", "size_t", "char", "void", "FILE"}
    known |= {row[0] for kind in ("ENUMS", "STRUCTS", "HANDLES", "CALLBACKS", "ALIASES") for row in found[kind]}
    used = [(owner, kind[0]) for owner, members, _ in found["STRUCTS"] for _, kind, _ in members]
    used += [(owner, result[0]) for owner, result, _, _ in found["FUNCTIONS"]]
    used += [(owner, kind[0]) for owner, _, parameters, _ in found["FUNCTIONS"] for _, kind in parameters]
    for owner, base in used:
        if base not in known:
            raise SystemExit(f"declare.py: {owner} has the type {base}, which is not known here")


def declarations(include):
    kinds = ("CONSTANTS", "ENUMS", "STRUCTS", "HANDLES", "CALLBACKS", "ALIASES", "FUNCTIONS")
    found = {kind: [] for kind in kinds}
    found["known"] = {}
    for text in headers_below(include, "jetwright.h", set()):
        read_header(text, found)
    del found["known"]
    check_types(found)
    return found


def main():
    found = declarations(pathlib.Path(sys.argv[1]))
    lines = ["# Written by declare.py from the headers. A type: name, stars, const, dimensions."]
    lines += [f"{kind} = {pprint.pformat(rows, width=120)}" for kind, rows in found.items()]
    pathlib.Path(sys.argv[2]).write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
