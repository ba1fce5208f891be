# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: check.py SOURCE_DIR STATIC_LIBRARY

Fails on an include that the module table of DEVELOPERS.md does not allow, and on what the library may not hold: calls
that print, end the program, read the environment or follow the locale, and data that can change.
"""
import pathlib
import re
import subprocess
import sys

# public headers that are not named after their module
HEADER_MODULE = {
    "jet": "flow", "status": "base", "units": "base", "uncertainty": "solve", "transient": "point", "bank": "point",
    "cycle": "point",
}
# foreign headers: who may include them
FOREIGN = {"gsl/": "solve", "yaml.h": "profile"}

FORBIDDEN_CALLS = {
    "printf", "vprintf", "puts", "putchar", "perror", "__printf_chk", "__vprintf_chk", "stdout", "stderr", "stdin",
    "dprintf", "vdprintf", "__dprintf_chk", "write", "writev", "syslog",
    "exit", "_exit", "_Exit", "quick_exit", "abort", "__assert_fail", "atexit", "signal", "raise", "system",
    "getenv", "secure_getenv", "setenv", "putenv", "environ", "__environ", "setlocale", "uselocale",
    "strtod", "strtof", "atof", "sscanf", "__isoc99_sscanf",  # these follow the locale
    "strtok", "rand", "srand", "random", "srandom", "strerror", "localtime", "gmtime",  # these share hidden state
    "fprintf", "vfprintf", "fputs", "fputc", "putc", "fwrite", "__fprintf_chk", "__vfprintf_chk",
    "gsl_set_error_handler", "gsl_set_error_handler_off",
}
# Calls that are forbidden but to the object files that define one of these functions.
PRINTERS = {"jw_fields_print", "jw_schema_print"}  # to a stream that the caller gave
EXCEPTIONS = {
    "fprintf": PRINTERS, "fputs": PRINTERS, "fputc": PRINTERS, "fwrite": PRINTERS,  # what compilers make of fprintf
    "write": {"jw_text_save"},         # saves to a path that the caller gave
    "uselocale": {"jw_field_format"},  # prints a number under the C locale and puts the thread's own back
}

INCLUDE = re.compile(r'^\s*#\s*include\s*([<"])([^>"]+)[>"]', re.M)
# | `module` | `one`, `other` | what it is |
MODULE_ROW = re.compile(r"^\| `(\w+)` \|([^|]*)\|", re.M)
# a conversion of a floating number in a format
FLOATING = re.compile(r"%[-+#0-9.*']*L?[aAeEfFgG]")


def read_graph(source):
    """Module: what it may include, which is what it builds on and what those build on in turn."""
    graph = {}
    for module, below in MODULE_ROW.findall((source / "DEVELOPERS.md").read_text()):
        direct = set(re.findall(r"`(\w+)`", below))
        unknown = direct - graph.keys()
        if unknown:
            sys.exit(f"DEVELOPERS.md: {module} builds on {', '.join(sorted(unknown))}, which no row above it names")
        graph[module] = direct.union(*(graph[name] for name in direct))
    return graph


def module_of_header(graph, path):
    """The module that an include belongs to, or None for a foreign header."""
    parts = path.split("/")
    if parts[0] == "jetwright":
        name = parts[1].removesuffix(".h")
        return HEADER_MODULE.get(name, name)
    return parts[0] if len(parts) > 1 and parts[0] in graph else None


def allowed_in_library(graph, module, quoted, path):
    target = module_of_header(graph, path)
    if target:
        return target == module or target in graph[module]
    owner = next((owner for prefix, owner in FOREIGN.items() if path.startswith(prefix)), None)
    return not quoted and owner in (None, module)


def allowed_in_program(folder, beside, quoted, path):
    if quoted:
        return (beside / path).is_file() and folder.resolve() in (beside / path).resolve().parents
    return not any(path.startswith(prefix) for prefix in FOREIGN)


def include_faults(source):
    graph = read_graph(source)
    folders = {path.name for path in (source / "lib").iterdir() if path.is_dir()}
    if folders != graph.keys():
        yield f"lib/ and DEVELOPERS.md differ in {', '.join(sorted(folders ^ graph.keys()))}"
    files = 0
    for path in sorted(p for top in ("include", "lib", "cli") for p in (source / top).rglob("*.[ch]")):
        files += 1
        inside = path.relative_to(source)
        for bracket, name in INCLUDE.findall(path.read_text()):
            quoted = bracket == '"'
            if inside.parts[0] == "cli":
                fine = allowed_in_program(source / "cli", path.parent, quoted, name)
            elif inside.parts[0] == "include":
                module = module_of_header(graph, "/".join(inside.parts[1:]))
                fine = not quoted and (module == "jetwright" or allowed_in_library(graph, module, quoted, name))
            else:
                fine = inside.parts[1] in graph and allowed_in_library(graph, inside.parts[1], quoted, name)
            if not fine:
                yield f"{inside}: may not include {name}"
    if files == 0:
        yield f"{source}: no source file found"


def format_faults(source):
    """snprintf follows the locale, which no list of calls can tell: the format must be read."""
    for path in sorted((source / "lib").rglob("*.[ch]")):
        text = path.read_text()
        if "uselocale" in text:  # see EXCEPTIONS
            continue
        for number, line in enumerate(text.splitlines(), 1):
            if FLOATING.search(line):
                place = f"{path.relative_to(source)}:{number}"
                yield f"{place}: prints a number in the caller's locale: use jw_quantity_write"


def run(*command):
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def call_faults(library):
    members = {}  # object file -> (defined, undefined)
    for line in run("nm", "-A", library).splitlines():
        place, kind, symbol = re.fullmatch(r"(.*?):[0-9a-f ]* (\w) (\S+)", line).groups()
        members.setdefault(place, (set(), set()))[kind == "U"].add(symbol)
    for place, (defined, undefined) in members.items():
        for symbol in sorted(undefined & FORBIDDEN_CALLS):
            if not EXCEPTIONS.get(symbol, set()) & defined:
                yield f"{place}: uses {symbol}"
    if not members:
        yield f"{library}: no object file in it"


def data_faults(library):
    """Constant tables of pointers lie in .data.rel.ro; anything else in .data or .bss can change."""
    member = ""
    for line in run("objdump", "-h", library).splitlines():
        if ":     file format" in line:
            member = line.split(":")[0]
        section = re.match(r"\s*\d+ (\.t?(?:data|bss)\S*)\s+([0-9a-f]+)", line)
        if section and int(section[2], 16) > 0 and not section[1].startswith(".data.rel.ro"):
            yield f"{member}: {int(section[2], 16)} bytes of data that can change in {section[1]}"


def main():
    source, library = pathlib.Path(sys.argv[1]), sys.argv[2]
    faults = [*include_faults(source), *format_faults(source), *call_faults(library), *data_faults(library)]
    print("\n".join(faults) if faults else "includes, calls and data as DEVELOPERS.md allows")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
