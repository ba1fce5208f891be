# SPDX-License-Identifier: GPL-3.0-or-later
"""What each parameter of a C function is to Python.

Most of it the types tell. Where they do not, it stands in two tables; a test finds what is missing there.
"""
import ctypes
import operator
import os
import re

import numpy

from ._library import FREE, HANDLES, STATUSES
from ._names import plain
from ._structures import ENUMS, STRUCTS, Structure, ctype, decoded, encoded, of_enum

# Parameters that count arrays. Where an array is given, the count is its length; else the count is asked for.
COUNTS = {
    "jw_entropy": {"n": ["p"]},
    "jw_expected_minutes": {"n": ["probability", "minutes"]},
    "jw_fit_readings": {"readings": ["reading", "each"]},
    "jw_minutes_in_order": {"n": ["probability", "minutes"]},
    "jw_mixture_contributions": {"count": ["unmeasured", "contribution"]},
    "jw_posterior": {"n": ["prior", "likelihood", "posterior"]},
    "jw_propagate": {"count": ["inputs", "contribution"]},
    "jw_propagate_second": {"count": ["inputs"]},
    "jw_rejet_apply": {"count": ["changes"]},
    "jw_rejet_plan_for": {"places": ["place"]},
    "jw_sample": {"count": ["inputs"], "samples": ["outputs"]},
    "jw_snap_follow": {"instants": ["instant"]},
    "jw_snap_stumble": {"instants": ["instant"]},
    "jw_word_nearest": {"count": ["known"]},
}
# Parameters that may be None. The last of a function may be left out.
OPTIONAL = {
    ("jw_case_load", "library"), ("jw_cycle_at", "options"), ("jw_jets_load", "library"), ("jw_mark_bore", "bench"),
    ("jw_mark_nearest", "bench"), ("jw_mixture_contributions", "anchor"), ("jw_mixture_near", "neighbour"),
    ("jw_profile_load", "library"), ("jw_profile_write", "library"), ("jw_readings_load", "usual"),
}

TEXT_SIZE = 4096
LIBC = ctypes.CDLL(None)
LIBC.open_memstream.restype = ctypes.c_void_p
LIBC.fclose.argtypes = LIBC.free.argtypes = [ctypes.c_void_p]
DOUBLES = ctypes.POINTER(ctypes.c_double)
MODEL = ctypes.CFUNCTYPE(ctypes.c_int, DOUBLES, DOUBLES, ctypes.c_void_p)


class Frame:
    """What one call needs until it is over."""

    def __init__(self, function):
        self.function = function
        self.counts, self.lengths, self.made = {}, {}, {}
        self.kept, self.closing = [], []
        self.record = self.failure = None

    def close(self):
        """Once the call is over: ends streams, and raises what went wrong in a function that C called."""
        for close in self.closing:
            close()
        if self.failure:
            raise self.failure

    def counted(self, array, length):
        """An array that was given fixes the count, and the room of what is told as often."""
        for count, arrays in COUNTS.get(self.function, {}).items():
            if array in arrays:
                if self.counts.setdefault(count, length) != length:
                    raise ValueError(f"{' and '.join(arrays)} differ in length")
                self.lengths.update(dict.fromkeys(arrays, length))


def reference(name, base, value):
    """A pointer to a struct, or to the copy of a record."""
    kind = STRUCTS[base]
    if isinstance(value, numpy.void) and value.dtype.itemsize == ctypes.sizeof(kind):
        value = kind.from_buffer_copy(value.tobytes())
    if not isinstance(value, kind):
        raise TypeError(f"{name}: {kind.__name__} was expected, not {type(value).__name__}")
    return ctypes.byref(value)


def owned(name, base, value):
    """The pointer of a handle."""
    if not isinstance(value, HANDLES[base]):
        raise TypeError(f"{name}: {HANDLES[base].__name__} was expected, not {type(value).__name__}")
    return ctypes.c_void_p(value.pointer())


class Role:
    asked = True  # for a Python argument
    told = False  # in the result

    def __init__(self, function, name, kind):
        self.function, self.name, self.python_name = function, name, plain(name)
        self.base, self.stars, self.const, self.dimensions = kind
        self.optional = (function, name) in OPTIONAL

    def refuse(self, value, expected):
        raise TypeError(f"{self.python_name}: {expected} was expected, not {type(value).__name__}")


class Number(Role):
    def given(self, value, frame):
        number = float(value) if self.base == "double" else operator.index(value)
        made = ctype(self.base)(number)
        if self.base != "double" and made.value != number:
            raise OverflowError(f"{self.python_name}: {number} does not fit into C's {self.base}")
        return made


class Word(Role):
    def given(self, value, frame):
        if not isinstance(value, (str, os.PathLike)) and not (value is None and self.optional):
            self.refuse(value, "text or a path")
        return encoded(value)


class Words(Role):
    def given(self, value, frame):
        values = [encoded(each) for each in value]
        frame.counted(self.name, len(values))
        return (ctypes.c_char_p * len(values))(*values)


class Value(Role):
    """A struct that is read; a record of an array of structs will do."""

    def given(self, value, frame):
        return None if value is None and self.optional else reference(self.python_name, self.base, value)


class Changed(Value):
    """A struct that is read and written, so no copy will do."""

    def given(self, value, frame):
        if isinstance(value, numpy.void):
            self.refuse(value, STRUCTS[self.base].__name__)
        return super().given(value, frame)


class Values(Role):
    """Structs: a sequence, or records as a function tells them."""

    def given(self, value, frame):
        frame.counted(self.name, len(value))
        array = STRUCTS[self.base] * len(value)
        return array.from_buffer_copy(value.tobytes()) if isinstance(value, numpy.ndarray) else array(*value)


class Numbers(Role):
    """An array of doubles."""

    def given(self, value, frame):
        array = numpy.ascontiguousarray(value, numpy.float64)
        if self.dimensions and array.shape != self.dimensions:
            raise ValueError(f"{self.python_name}: an array of shape {self.dimensions} was expected, not {array.shape}")
        if array.ndim != 1:
            raise ValueError(f"{self.python_name}: one dimension was expected, not {array.ndim}")
        frame.counted(self.name, len(array))
        frame.kept.append(array)
        return array.ctypes.data_as(ctypes.POINTER(ctypes.c_double))


class Owned(Role):
    """A handle."""

    def given(self, value, frame):
        frame.kept.append(value)
        return owned(self.python_name, self.base, value)


class Count(Role):
    asked = False

    def given(self, value, frame):
        return ctype(self.base)(frame.counts[self.name])


class AskedCount(Number):
    """How much room an array of results needs."""

    def given(self, value, frame):
        count = super().given(value, frame)
        frame.lengths.update(dict.fromkeys(COUNTS[self.function][self.name], max(count.value, 0)))
        return count


class Out(Role):
    asked, told = False, True

    def given(self, value, frame):
        made = frame.made[self.name] = ctype(self.base, 0, self.dimensions)()
        return made if self.dimensions else ctypes.byref(made)

    def result(self, made):
        if isinstance(made, Structure):
            return made
        if self.dimensions:
            return decoded(made.value) if self.base == "char" else numpy.ctypeslib.as_array(made)
        return of_enum(self.base, made.value) if self.base in ENUMS else made.value


def room(kind, shape):
    """An array of numbers, or of structs as records with the members as attributes."""
    made = numpy.zeros(shape, numpy.dtype(kind))
    return made if made.dtype.names is None else made.view(numpy.recarray)


class OutArray(Role):
    """Room for as many as another parameter counts: numbers, or structs as records."""

    asked, told = False, True

    def given(self, value, frame):
        kind = ctype(self.base)
        made = frame.made[self.name] = room(kind, frame.lengths[self.name])
        return made.ctypes.data_as(ctypes.POINTER(kind))

    def result(self, made):
        return made


class OutHandle(Role):
    asked, told = False, True

    def given(self, value, frame):
        frame.made[self.name] = ctypes.c_void_p()
        return ctypes.byref(frame.made[self.name])

    def result(self, made):
        return HANDLES[self.base](made.value, FREE[self.base])


class InOut(Number):
    """A number that C changes: given, and told as it is afterwards."""

    told = True

    def given(self, value, frame):
        frame.made[self.name] = super().given(value, frame)
        return ctypes.byref(frame.made[self.name])

    def result(self, made):
        return made.value


class OutText(Role):
    asked, told = False, True

    def given(self, value, frame):
        frame.made[self.name] = ctypes.create_string_buffer(TEXT_SIZE)
        return frame.made[self.name]

    def result(self, made):
        return decoded(made.value)


class TextSize(Role):
    asked = False

    def given(self, value, frame):
        return ctypes.c_size_t(TEXT_SIZE)


class Stream(Role):
    """A stream in memory, told as text."""

    asked, told = False, True

    def given(self, value, frame):
        made = frame.made[self.name] = ctypes.c_char_p(), ctypes.c_size_t(), []
        made[2].append(LIBC.open_memstream(ctypes.byref(made[0]), ctypes.byref(made[1])))
        frame.closing.append(lambda: self.close(made))
        return ctypes.c_void_p(made[2][0])

    def close(self, made):
        LIBC.fclose(made[2][0])
        made[2][0] = decoded(made[0].value)
        LIBC.free(ctypes.cast(made[0], ctypes.c_void_p))

    def result(self, made):
        return made[2][0]


class Record(Role):
    """The error or the faults that a call fills."""

    asked = False

    def given(self, value, frame):
        frame.record = STRUCTS[self.base]()
        return ctypes.byref(frame.record)


class Model(Role):
    """A function of the inputs, an array, that returns the output. An Error of this package ends the call with its
    status; any other exception ends it too, and is raised again."""

    def given(self, value, frame):
        def called(inputs, output, context):
            try:
                output[0] = value(numpy.ctypeslib.as_array(inputs, (frame.counts["count"],)).copy())
                return 0
            except tuple(STATUSES.errors.values()) as failure:
                return failure.status
            except BaseException as failure:
                frame.failure = failure
                return ENUMS["jw_status_code"].E_ARGUMENT

        frame.kept.append(MODEL(called))
        return frame.kept[-1]


class Context(Role):
    asked = False

    def given(self, value, frame):
        return None


def changed(name, doc):
    """Whether a doc block says that a parameter is read and written."""
    return re.search(rf"\\param\[in,out\] {name}\b", doc) is not None


def _pointer_role(function, name, kind, doc, array):
    base, _, const, dimensions = kind
    if base == "char":
        return Word if const else Out if dimensions else OutText
    if base in HANDLES:
        return Owned
    if const:
        return (Values if base in STRUCTS else Numbers) if array or base == "double" else Value
    if base in STRUCTS:
        return OutArray if array else Changed if changed(name, doc) else Out
    return OutArray if array else InOut if changed(name, doc) else Out


FIXED_ROLES = {("jw_error", 1): Record, ("jw_faults", 1): Record, ("FILE", 1): Stream, ("void", 1): Context,
               ("jw_model", 0): Model, ("char", 2): Words}


def role_of(function, parameter, parameters, doc):
    """Which role a parameter has, by its type and the tables above."""
    name, kind = parameter
    base, stars, const, dimensions = kind
    counts = COUNTS.get(function, {})
    given = {each for each, (_, _, is_const, _) in parameters if is_const}
    if (base, stars) in FIXED_ROLES:
        role = FIXED_ROLES[base, stars]
    elif name in counts:
        role = Count if given & set(counts[name]) else AskedCount
    elif stars == 2:
        role = OutHandle
    elif stars or dimensions:
        role = _pointer_role(function, name, kind, doc, any(name in arrays for arrays in counts.values()))
    else:
        role = TextSize if name == "about_size" else Number
    return role(function, name, kind)
