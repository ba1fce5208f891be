# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: layouts.py C_COMPILER

Compiles a program that holds what the binding believes of the headers: that each function and member has its type,
which the compiler checks, and how large and where each struct and member is and what each number comes to, which it
prints.
"""
import ctypes
import pathlib
import subprocess
import sys
import tempfile

import support

import jetwright
from jetwright import _declared
from jetwright._names import plain
from jetwright._structures import ENUMS, STRUCTS, ctype


def spelt(kind, inner=""):
    """A declaration of C."""
    base, stars, const, dimensions = kind
    return f"{'const ' if const else ''}{base} {'*' * stars}{inner}" + "".join(f"[{size}]" for size in dimensions)


def parameter(name, kind):
    # an array of constant texts is the one type with a const between its stars
    return f"const char *const *{name}" if kind[:3] == ("char", 2, True) else spelt(kind, name)


def prototype(name, kind, parameters):
    return f"{spelt(kind, name)}({', '.join(parameter(*each) for each in parameters) or 'void'});"


def member_types(name, members):
    """A struct of pointers of the types, whose initialisers must fit exactly."""
    for member, kind, _ in members:
        base, stars, const, dimensions = kind
        whole = f"{'const ' if const else ''}{base} {'*' * stars}(*)" + "".join(f"[{size}]" for size in dimensions)
        yield f'_Static_assert(_Generic(&(({name} *)0)->{member}, {whole}: 1, default: 0), "{name}.{member}");'


def program():
    lines = ["#include <jetwright/jetwright.h>", "#include <stddef.h>", "#include <stdio.h>"]
    lines += [prototype(*row[:3]) for row in _declared.FUNCTIONS]
    for name, members, _ in _declared.STRUCTS:
        lines += member_types(name, members)
    lines.append("int main(void)\n{")
    for name, members, _ in _declared.STRUCTS:
        lines.append(f'printf("{name} %zu %zu\\n", sizeof({name}), _Alignof({name}));')
        lines += [f'printf("{name}.{member} %zu %zu\\n", offsetof({name}, {member}), sizeof((({name} *)0)->{member}));'
                  for member, *_ in members]
    for name, rows, _ in _declared.ENUMS:
        tag = f"enum {name}" if name == "jw_status_code" else name
        lines.append(f'printf("{name} %zu %d\\n", sizeof({tag}), ({tag})-1 < 0);')
        lines += [f'printf("{row[0]} %d\\n", (int){row[0]});' for row in rows]
    lines += [f'printf("{name} %.17g\\n", (double){name});' for name, *_ in _declared.CONSTANTS]
    return "\n".join(lines) + "\nreturn 0;\n}\n"


def believed():
    """The same lines from the classes of the binding."""
    for name, members, _ in _declared.STRUCTS:
        kind = STRUCTS[name]
        yield f"{name} {ctypes.sizeof(kind)} {ctypes.alignment(kind)}"
        for member, *_ in members:
            field = getattr(kind, plain(member))
            yield f"{name}.{member} {field.offset} {field.size}"
    for name, rows, _ in _declared.ENUMS:
        kind = ctype(name)
        yield f"{name} {ctypes.sizeof(kind)} {int(kind(-1).value < 0)}"
        for row in rows:
            yield f"{row[0]} {int(getattr(ENUMS[name], plain(row[0])))}"
    for name, *_ in _declared.CONSTANTS:
        yield f"{name} {float(getattr(jetwright, plain(name))):.17g}"


def main():
    with tempfile.TemporaryDirectory() as folder:
        source, made = pathlib.Path(folder, "probe.c"), pathlib.Path(folder, "probe")
        source.write_text(program())
        options = ["-std=c17", "-Wall", "-Werror", "-I", support.ROOT / "include"]
        subprocess.run([sys.argv[1], *options, "-o", made, source], check=True)
        true = subprocess.run([made], check=True, capture_output=True, text=True).stdout.splitlines()
    wrong = [f"C has {one}, the binding {other}" for one, other in zip(true, believed(), strict=True) if one != other]
    print("\n".join(wrong + [f"{len(true)} sizes, places and numbers compared, {len(wrong)} differ"]))
    return 1 if wrong or len(true) < 900 else 0


sys.exit(main())
