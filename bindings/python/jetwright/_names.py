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


def text(doc, types):
    """A doc block of the headers in the words of Python. `types` are the C names that became classes."""

    def word(match):
        name = match[0].removeprefix("::")
        if re.match(r"JW_[EW]_", name):
            return exception(name)
        return camel(name) if name in types else plain(name)

    doc = re.sub(r"(?:::)?\b(?:jw|JW)_\w+", word, doc)
    doc = re.sub(r"(?<=\w)::", ".", doc).replace("::", "").replace("NULL", "None")
    doc = re.sub(r"\\param(?:\[[a-z,]*\])?", "\n:param", doc)
    doc = re.sub(r"\\return", "\n:return:", doc)
    doc = re.sub(r":param (\w+(?:, \w+)*)", r":param \1:", doc)
    return re.sub(r"\n\n(?=:)", "\n", doc).strip()
