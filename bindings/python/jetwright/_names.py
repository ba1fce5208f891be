# SPDX-License-Identifier: GPL-3.0-or-later
"""How the words of the C library are spelt in Python."""
import keyword
import re


def plain(name):
    """jw_mixture_at -> mixture_at, JW_HALF -> HALF, lambda -> lambda_."""
    name = re.sub(r"^(jw|JW)_", "", name)
    return name + "_" if keyword.iskeyword(name) else name


def camel(name):
    """jw_fuel_part -> FuelPart."""
    return "".join(word.capitalize() for word in plain(name).split("_"))


def exception(name):
    """JW_E_NOT_FINITE -> NotFiniteError, JW_W_CHOKED -> ChokedWarning."""
    kind, words = re.fullmatch(r"JW_([EW])_(\w+)", name).groups()
    return "".join(word.capitalize() for word in words.split("_")) + {"E": "Error", "W": "Warning"}[kind]


def text(doc, types, returned=":return:"):
    """A doc block of the headers in the words of Python, without its examples in C. `types` are the C names that became
    classes; what C returns is told as `returned`, since a status is raised or warned of."""

    def word(match):
        name = match[0].removeprefix("::")
        if re.match(r"JW_[EW]_", name):
            return exception(name)
        return camel(name) if name in types else plain(name)

    doc = re.sub(r"\\code.*?\\endcode", "", doc, flags=re.S)
    doc = re.sub(r"(?:::)?\b(?:jw|JW)_\w+", word, doc)
    doc = re.sub(r"(?<=\w)::", ".", doc).replace("::", "").replace("NULL", "None")
    doc = re.sub(r"\\param\[out\] (\w+)", r"\n:result \1:", doc)
    doc = re.sub(r"\\param(?:\[in,out\])? (\w+(?:, \w+)*)", r"\n:param \1:", doc)
    doc = re.sub(r"\\returns?\b", f"\n{returned}", doc)
    doc = re.sub(r"\\\w+ ?", "", doc)  # other commands mean nothing here
    return re.sub(r"\n\n(?=:)", "\n", doc).strip()
