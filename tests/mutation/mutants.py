# SPDX-License-Identifier: GPL-3.0-or-later
"""Finds every small change of a C source: an operator, a comparison, a constant or a sign changed, a statement dropped."""
import dataclasses
import random
import re

# What a token becomes; one of them is drawn.
SWAPS = {
    "+": ["-"], "-": ["+"], "*": ["/"], "/": ["*"], "%": ["*"],
    "<": ["<=", ">"], ">": [">=", "<"], "<=": ["<", ">"], ">=": [">", "<"], "==": ["!="], "!=": ["=="],
    "&&": ["||"], "||": ["&&"], "&": ["|"], "|": ["&"],
    "+=": ["-=", "="], "-=": ["+=", "="], "*=": ["/=", "="], "/=": ["*=", "="], "|=": ["&=", "="], "&=": ["|=", "="],
    "++": ["--"], "--": ["++"], "!": [""], "~": [""],
    "fmin": ["fmax"], "fmax": ["fmin"], "break": ["continue"], "continue": ["break"],
}
TOKEN = re.compile(r"""
    (?P<number>(?<![\w.])(?:0[xX][0-9a-fA-F.]+(?:[pP][+-]?\d+)?|\d+\.?\d*(?:[eE][+-]?\d+)?|\.\d+(?:[eE][+-]?\d+)?)[uUlL]*)
  | (?P<word>[A-Za-z_]\w*)
  | (?P<operator>->|<<=?|>>=?|\+\+|--|[-+*/%&|<>=!]=|&&|\|\||[-+*/%&|<>=!~?:;,.(){}\[\]])
""", re.X)
# After these a - or + is a sign, a * or & an address, not an operation on two numbers.
OPENS = set("( [ { , ; = < > ! ? : & | + - * / % return case && || == != <= >= += -= *= /= |= &=".split())
TYPES = re.compile(r"^(?:void|char|int|long|unsigned|double|float|size_t|const|static|struct|enum|FILE|jw_\w+|[a-z_]+_t)$")
STATEMENT = re.compile(r"^\s+(?!return\b|break\b|continue\b|goto\b|case\b|else\b|if\b|for\b|while\b|do\b|static\b|const\b"
                       r"|struct\b|enum\b|typedef\b)[A-Za-z_*(][^{}]*;$")
DECLARATION = re.compile(r"^\s+(?!return\b)[A-Za-z_]\w*\s+\**\s*[A-Za-z_]\w*\s*(?:[=;,\[(]|$)")


@dataclasses.dataclass(frozen=True)
class Mutant:
    file: str
    line: int  # from 1
    start: int  # columns from 0
    end: int
    text: str  # what stands there instead
    kind: str

    def apply(self, lines):
        old = lines[self.line - 1]
        return lines[:self.line - 1] + [old[:self.start] + self.text + old[self.end:]] + lines[self.line:]

    def told(self, lines):
        old = lines[self.line - 1]
        there = old[self.start:self.end].strip()
        return f"{self.file}:{self.line}: {self.kind}: {there!r} -> {self.text.strip()!r} in: {old.strip()}"


def blank(text):
    """The same text with comments, strings and directives (but what a #define stands for) as blanks."""
    keep_lines = lambda match: re.sub(r"[^\n]", " ", match.group())
    text = re.sub(r"/\*.*?\*/|//[^\n]*|\"(?:\\.|[^\"\\\n])*\"|'(?:\\.|[^'\\\n])*'", keep_lines, text, flags=re.S)
    text = re.sub(r"^[ \t]*#[ \t]*define[ \t]+\w+(?:\([^)\n]*\))?", keep_lines, text, flags=re.M)
    return re.sub(r"^[ \t]*#[^\n]*", keep_lines, text, flags=re.M)


def other_number(token):
    """One more of a count, 0 for 1, which may be a flag; twice a quantity, 1 for 0."""
    digits = token.rstrip("uUlL")
    if re.fullmatch(r"\d+", digits):
        return ("0" if int(digits) == 1 else str(int(digits) + 1)) + token[len(digits):]
    if digits[:2].lower() == "0x":
        return None
    value = float(digits)
    return repr(2.0 * value) if value else "1.0"


def of_tokens(name, number, line):
    before = "("
    for match in TOKEN.finditer(line):
        token, start, end = match.group(), match.start(), match.end()
        one = lambda text, kind: Mutant(name, number, start, end, text, kind)
        unary = before in OPENS
        if match["number"]:
            text = other_number(token)
            size_of_array = before == "[" and DECLARATION.match(line)
            if text and not size_of_array:
                yield one(text, "constant")
        elif token in "+-" and unary:
            if token == "-":
                yield one("", "sign")
        elif token in ("*", "&") and (unary or TYPES.match(before)):
            pass  # a pointer
        elif token in SWAPS:
            for text in SWAPS[token]:
                yield one(text, "operator")
        if token == "return":
            rest = re.fullmatch(r"\s*([^;]+);\s*", line[end:])
            if rest and not rest[1].startswith(("JW_", "jw_fail")):
                yield Mutant(name, number, end, len(line), f" -({rest[1]});", "sign")
        before = token


def find(name, text):
    """All mutants of a file, by line."""
    by_line = {}
    code = blank(text).split("\n")
    for number, line in enumerate(code, 1):
        found = list(of_tokens(name, number, line))
        if STATEMENT.match(line.rstrip()) and not DECLARATION.match(line) and complete_before(code, number - 1):
            found.append(Mutant(name, number, len(line) - len(line.lstrip()), len(line.rstrip()), ";", "dropped"))
        if found:
            by_line[number] = found
    return by_line


def complete_before(code, index):
    """Whether the line before ended what it said, so that this one is a statement of its own."""
    for line in reversed(code[:index]):
        if line.strip():
            return line.rstrip().endswith((";", "{", "}", ")", "else", ":"))
    return True


def draw(root, seed, only="lib/"):
    """Every mutant of the sources whose path begins so, in a drawn order: a line is drawn, then what is changed on it."""
    lines = []
    for file in sorted(root.glob(f"{only.split('/')[0]}/**/*.c")):
        name = str(file.relative_to(root))
        if name.startswith(only):
            lines += find(name, file.read_text()).values()
    dice = random.Random(seed)
    dice.shuffle(lines)
    for line in lines:
        yield dice.choice(line)
