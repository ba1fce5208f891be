# SPDX-License-Identifier: GPL-3.0-or-later
"""Structs and enumerations of the headers as classes. A struct shares its memory layout with C."""
import ctypes
import enum
import os

import numpy

from . import _declared
from ._names import camel, plain, text

SCALARS = {"double": ctypes.c_double, "int": ctypes.c_int, "size_t": ctypes.c_size_t, "char": ctypes.c_char}
TYPES = {row[0] for kind in ("ENUMS", "STRUCTS", "HANDLES") for row in getattr(_declared, kind)}
# Members that count what another one points to.
COUNTED = {("jw_rejet_request", "change"): "changes", ("jw_rejet_request", "reading"): "readings",
           ("jw_rejet_request", "unmeasured"): "unmeasureds"}
# Members that count an array beside them: never more than it holds, since C reads so many.
FILLED = {
    ("jw_action", "outcomes"): "outcome", ("jw_bank", "count"): "setup", ("jw_breathing", "cam_points"): "cam_rad",
    ("jw_carburetor", "ports"): "port", ("jw_case", "evidences"): "evidence", ("jw_circuit_ends", "outlets"): "outlet",
    ("jw_course", "beliefs"): "belief", ("jw_engine", "ve_points"): "ve", ("jw_faults", "count"): "item",
    ("jw_fuel", "parts"): "part", ("jw_jet_set", "mains"): "main", ("jw_jet_set", "pilots"): "pilot",
    ("jw_log", "visits"): "visit", ("jw_pulse_table", "nodes"): "throttle", ("jw_rejet_plan", "sets"): "set",
    ("jw_rejet_visits", "sets"): "set",
    ("jw_visit", "evidences"): "evidence",
}


def _enumeration(name, rows, doc):
    kind = enum.IntEnum(camel(name), [(plain(row[0]), row[1]) for row in rows], module=__package__)
    told = "\n".join(f"{plain(row[0])} = {row[1]}" + (f": {text(row[2], TYPES)}" if row[2] else "") for row in rows)
    kind.__doc__ = f"{text(doc, TYPES)}\n\n{told}"
    return kind


ENUMS = {name: _enumeration(name, rows, doc) for name, rows, doc in _declared.ENUMS}


def encoded(value):
    """Text or a path for C; None is NULL. C would take it as ending at a NUL."""
    made = None if value is None else os.fsencode(value)
    if made and b"\0" in made:
        raise ValueError(f"text without NUL was expected, not {value!r}")
    return made


def decoded(value):
    return None if value is None else value.decode("utf-8", "replace")


def of_enum(name, number):
    """The member of an enumeration, or the bare number where it has none."""
    kind = ENUMS[name]
    return kind(number) if number in kind._value2member_map_ else number


class Structure(ctypes.Structure):
    """A plain value. Members that are not given are 0, as in a C initialiser; arrays may be given shorter."""

    def __setattr__(self, name, value):
        if not hasattr(type(self), name):
            raise AttributeError(f"{type(self).__name__} has no member {name}")
        super().__setattr__(name, value)

    def __copy__(self):
        holder = (type(self) * 1)()
        holder[0] = self
        return holder[0]

    def __deepcopy__(self, memo):
        return self.__copy__()

    copy = __copy__

    def __repr__(self):
        told = (f"{name}={getattr(self, name)!r}" for name, *_ in self._fields_)
        return f"{type(self).__name__}({', '.join(told)})"

    def __eq__(self, other):
        if type(self) is not type(other):
            return NotImplemented
        return all(_alike(getattr(self, name), getattr(other, name)) for name, *_ in self._fields_)

    __hash__ = None


def _alike(one, other):
    if isinstance(one, ctypes.Array):
        return all(a == b for a, b in zip(one, other))
    return numpy.array_equal(one, other) if isinstance(one, numpy.ndarray) else one == other


class Member:
    """A member whose Python value is another than its C value."""

    def __init__(self, field, kind):
        self.field = field
        self.base, self.stars, _, self.dimensions = kind
        self.offset, self.size = field.offset, field.size

    def __get__(self, instance, owner=None):
        return self if instance is None else self.read(self.field.__get__(instance, owner))

    def __set__(self, instance, value):
        self.field.__set__(instance, self.written(value))


class EnumMember(Member):
    def read(self, value):
        return of_enum(self.base, value)

    def written(self, value):
        member = ENUMS[self.base](value)
        if member.name.endswith("COUNT"):
            raise ValueError(f"{member!r} is how many there are, and none of them")
        return int(member)


class CountMember(Member):
    def __init__(self, field, kind, most):
        super().__init__(field, kind)
        self.most = most

    def read(self, value):
        return value

    def written(self, value):
        if not 0 <= value <= self.most:
            raise ValueError(f"0 to {self.most} was expected, not {value}")
        return value


class TextMember(Member):
    def read(self, value):
        return tuple(map(decoded, value)) if self.dimensions and self.stars else decoded(value)

    def written(self, value):
        return encoded(value)


class NumbersMember(Member):
    """An array of numbers: a numpy view of the struct's own memory."""

    def read(self, value):
        return numpy.ctypeslib.as_array(value)

    def __set__(self, instance, value):
        view = self.__get__(instance)
        value = numpy.asarray(value, view.dtype)
        if value.ndim == 0 or value.shape[1:] != view.shape[1:] or len(value) > len(view):
            raise ValueError(f"an array of shape {view.shape} or shorter was expected, not {value.shape}")
        view[:len(value)] = value
        view[len(value):] = 0


class SetCountMember(CountMember):
    """Follows the array that its struct points to."""

    def written(self, value):
        raise AttributeError("the count is that of the array")


class StructsMember(Member):
    def read(self, value):
        return value

    def __set__(self, instance, value):
        array, values = self.__get__(instance), list(value)
        if len(values) > len(array):
            raise ValueError(f"at most {len(array)} were expected, not {len(values)}")
        for i in range(len(array)):
            array[i] = values[i] if i < len(values) else array._type_()


class PointerMember(Member):
    """What the member points to: written, the struct holds on to it; read, a copy."""

    def __init__(self, field, kind, count=None):
        super().__init__(field, kind)
        self.count = count

    def read(self, value):
        return tuple(map(_pointed, value)) if self.dimensions else _pointed(value)

    def __set__(self, instance, value):
        kind = STRUCTS[self.base]
        if self.dimensions:
            array = self.field.__get__(instance)
            for i, each in enumerate(value):
                array[i] = None if each is None else ctypes.pointer(each)
            return
        if self.count:
            getattr(type(instance), self.count).field.__set__(instance, 0 if value is None else len(value))
            value = (kind * len(value))(*value) if value else None
            self.field.__set__(instance, value if value is None else ctypes.cast(value, ctypes.POINTER(kind)))
            return
        if value is not None and not isinstance(value, kind):
            raise TypeError(f"{kind.__name__} or None was expected, not {type(value).__name__}")
        self.field.__set__(instance, None if value is None else ctypes.pointer(value))


def _pointed(pointer):
    return pointer.contents.copy() if pointer else None


STRUCTS = {}


def ctype(base, stars=0, dimensions=()):
    """The ctypes type of a C type."""
    kind = SCALARS.get(base) or STRUCTS.get(base) or (ctypes.c_int if base == "jw_status" or base in ENUMS else None)
    if base in ENUMS and min(ENUMS[base]) >= 0:
        kind = ctypes.c_uint
    for _ in range(stars):
        kind = ctypes.c_char_p if kind is ctypes.c_char else ctypes.POINTER(kind)
    for size in reversed(dimensions):
        kind = kind * size
    return kind


def _wrapped(owner, name, kind, members):
    """The member that takes the place of a ctypes field, or None where that will do."""
    base, stars, _, dimensions = kind
    field = getattr(STRUCTS[owner], plain(name))
    if name in (COUNTED.get((owner, pointer)) for pointer in members):
        return SetCountMember(field, kind, 0)
    if (owner, name) in FILLED:
        return CountMember(field, kind, members[FILLED[owner, name]][3][0])
    if base == "char":
        return TextMember(field, kind)
    if stars:
        return PointerMember(field, kind, COUNTED.get((owner, name)))
    if base in ENUMS:
        return EnumMember(field, kind)
    if dimensions:
        return (StructsMember if base in STRUCTS else NumbersMember)(field, kind)
    return None


def _described(name, members, doc):
    rows = (f"{plain(member)}: {text(told, TYPES)}" if told else plain(member) for member, _, told in members)
    return text(doc, TYPES) + "\n\n" + "\n".join(rows)


def _make():
    """All classes first, since some point to others; then their members, of which none holds a later one."""
    for name, members, doc in _declared.STRUCTS:
        body = {"__doc__": _described(name, members, doc), "__module__": __package__}
        STRUCTS[name] = type(camel(name), (Structure,), body)
    waiting = {name: members for name, members, _ in _declared.STRUCTS}
    while waiting:
        for name, members in list(waiting.items()):
            if not any(kind[0] in waiting and not kind[1] for _, kind, _ in members):
                STRUCTS[name]._fields_ = [(plain(member), ctype(*kind[:2], kind[3])) for member, kind, _ in members]
                del waiting[name]
    for name, members, _ in _declared.STRUCTS:
        for member, kind, _ in members:
            wrapped = _wrapped(name, member, kind, {each: its for each, its, _ in members})
            if wrapped:
                setattr(STRUCTS[name], plain(member), wrapped)


_make()
