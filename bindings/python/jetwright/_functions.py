# SPDX-License-Identifier: GPL-3.0-or-later
"""Every function of the headers, called by its words.

A C function's inputs are the parameters; what it writes is the result, a named tuple where there are several things. What
the types do not say of a function stands in the tables below.
"""
import collections
import ctypes
import inspect
import operator
import os
import pathlib
import re
import weakref

import numpy

from . import _built, _declared
from ._names import camel, plain, text
from ._status import Statuses
from ._structures import ENUMS, STRUCTS, TYPES, Structure, ctype, decoded, encoded, of_enum

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
# Functions that are written out below, and what is to be said of their parameters.
OWN = {
	"jw_expected_information": "\n\nThe lengths are those of the arrays.",
	"jw_mixture_map": "\n\nThe points are arrays or numbers that broadcast by numpy's rules; neighbours follow one another along the last "
	                  "axis.\n\nResult: mixtures, records with the members of Mixture as attributes, and statuses",
	"jw_profile_contributions": "\n\nResult: contribution, relative",
}
# Functions that are not bound, and why.
NOT_BOUND = {}

TEXT_SIZE = 4096
LIBRARY = ctypes.CDLL(os.fspath(pathlib.Path(__file__).resolve().parent / _built.LIBRARY))
LIBC = ctypes.CDLL(None)
LIBC.open_memstream.restype = ctypes.c_void_p
LIBC.fclose.argtypes = LIBC.free.argtypes = [ctypes.c_void_p]
MODEL = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.POINTER(ctypes.c_double), ctypes.POINTER(ctypes.c_double), ctypes.c_void_p)


def _status_text(code):
	call = LIBRARY.jw_status_text
	call.restype = ctypes.c_char_p
	return decoded(call(code))


STATUSES = Statuses(_status_text)


class Handle:
	"""What the library owns: free it with close(), or by `with`, or leave it to Python."""

	def __init__(self, pointer, free=None, owner=None):
		self._pointer, self._owner = pointer, owner
		self._finalizer = weakref.finalize(self, free, pointer) if free else None

	def pointer(self):
		if self._pointer is None:
			raise ValueError(f"{type(self).__name__} is closed")
		if self._owner is not None:
			self._owner.pointer()
		return self._pointer

	def close(self):
		"""Frees it; again, or of what belongs to another, does nothing."""
		if self._finalizer:
			self._finalizer()
			self._pointer = None

	def __enter__(self):
		self.pointer()
		return self

	def __exit__(self, *failure):
		self.close()


def _handle(name, doc):
	return type(camel(name), (Handle,), {"__doc__": f"{text(doc, TYPES)}\n\n{Handle.__doc__}", "__module__": __package__})


HANDLES = {name: _handle(name, doc) for name, doc in _declared.HANDLES}


def _free(name):
	"""The function that frees a handle: the one named ..._free that takes it."""
	for function, _, parameters, _ in _declared.FUNCTIONS:
		if function.endswith("_free") and parameters[0][1][0] == name:
			call = getattr(LIBRARY, function)
			call.argtypes, call.restype = [ctypes.c_void_p], None
			return call
	raise LookupError(name)


FREE = {name: _free(name) for name in HANDLES}


# ---- roles of parameters: given() makes the C argument, result() reads what C wrote ----


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
	"""A struct; a record of an array of structs will do, by copy."""

	def given(self, value, frame):
		kind = STRUCTS[self.base]
		if isinstance(value, numpy.void) and value.dtype.itemsize == ctypes.sizeof(kind) and self.const:
			value = kind.from_buffer_copy(value.tobytes())
		if not isinstance(value, kind) and not (value is None and self.optional):
			self.refuse(value, kind.__name__)
		return None if value is None else ctypes.byref(value)


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
		if not isinstance(value, HANDLES[self.base]):
			self.refuse(value, HANDLES[self.base].__name__)
		frame.kept.append(value)
		return ctypes.c_void_p(value.pointer())


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
	"""A function of the inputs, an array, that returns the output. An Error of this package ends the call with its status;
	so does any other, which is raised again."""

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


def _changed(name, doc):
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
		return OutArray if array else Value if _changed(name, doc) else Out
	return OutArray if array else InOut if _changed(name, doc) else Out


FIXED_ROLES = {("jw_error", 1): Record, ("jw_faults", 1): Record, ("FILE", 1): Stream, ("void", 1): Context,
               ("jw_model", 0): Model, ("char", 2): Words}


def _role(function, parameter, parameters, doc):
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


class Frame:
	"""What one call needs until it is over."""

	def __init__(self, function):
		self.function = function
		self.counts, self.lengths, self.made = {}, {}, {}
		self.kept, self.closing = [], []
		self.record = self.failure = None

	def counted(self, array, length):
		"""An array that was given fixes the count, and the room of what is told as often."""
		for count, arrays in COUNTS.get(self.function, {}).items():
			if array in arrays:
				if self.counts.setdefault(count, length) != length:
					raise ValueError(f"{' and '.join(arrays)} differ in length")
				self.lengths.update(dict.fromkeys(arrays, length))


# ---- results ----


def _returned(kind, value, first):
	"""What a function returns, other than a status, as Python has it."""
	base, stars, _, _ = kind
	if base == "char":
		return decoded(value)
	if base in HANDLES:
		return HANDLES[base](value, owner=first) if value else None
	if stars:
		return value.contents.copy() if value else None
	return of_enum(base, value) if base in ENUMS else value


def _return_type(kind):
	base, stars, _, _ = kind
	return ctypes.c_void_p if base in HANDLES else None if base == "void" else ctype(base, stars)


# Arguments are made in this order: counts follow the arrays that fix them, room follows counts.
LATE = (Count, OutArray)


def _wrapper(name, kind, parameters, doc):
	call = getattr(LIBRARY, name)
	call.restype = _return_type(kind)
	roles = [_role(name, parameter, parameters, doc) for parameter in parameters]
	order = sorted(range(len(roles)), key=lambda i: isinstance(roles[i], LATE))
	asked = [role for role in roles if role.asked]
	told = [role for role in roles if role.told]
	signature = _signature(asked)
	several = collections.namedtuple(camel(name) + "Result", [role.python_name for role in told]) if len(told) > 1 else None

	def function(*arguments, **named):
		bound = signature.bind(*arguments, **named)
		bound.apply_defaults()
		given, frame, passed = bound.arguments, Frame(name), [None] * len(roles)
		for i in order:
			passed[i] = roles[i].given(given.get(roles[i].python_name), frame)
		value = call(*passed)
		for close in frame.closing:
			close()
		if frame.failure:
			raise frame.failure
		if kind[0] == "jw_status":
			faults = frame.record if isinstance(frame.record, STRUCTS["jw_faults"]) else None
			STATUSES.check(value, None if faults else frame.record, faults)
		results = [role.result(frame.made[role.name]) for role in told]
		if kind[0] in ("jw_status", "void"):
			return several(*results) if several else results[0] if results else None
		if kind[1] and results:  # a list, and how many there are
			return [value[i].copy() for i in range(results[0])]
		if results:  # whether there is any, and which
			return results[0] if value else None
		return _returned(kind, value, next(iter(given.values()), None))

	function.__signature__ = signature
	return _dressed(function, name, doc, told)


def _signature(asked):
	"""Parameters in the order of C; the last ones that may be None may be left out."""
	parameters = []
	for i, role in enumerate(asked):
		default = None if all(each.optional for each in asked[i:]) else inspect.Parameter.empty
		parameters.append(inspect.Parameter(role.python_name, inspect.Parameter.POSITIONAL_OR_KEYWORD, default=default))
	return inspect.Signature(parameters)


def _dressed(function, name, doc, told):
	function.__name__ = function.__qualname__ = plain(name)
	function.__module__ = __package__
	results = f"\n\nResult: {', '.join(role.python_name for role in told)}" if told else ""
	function.__doc__ = text(doc, TYPES) + results
	return function


# ---- functions of another shape ----


def mixture_map(setup, air, speed_rev_s, throttle, enrichener=0.0):
	points = broadcast(STRUCTS["jw_point"], speed_rev_s=speed_rev_s, throttle=throttle, enrichener=enrichener)
	mixtures, statuses = room(STRUCTS["jw_mixture"], points.shape), room(ctypes.c_int, points.shape)
	record = STRUCTS["jw_error"]()
	for value, name in ((setup, "jw_setup"), (air, "jw_air")):
		if not isinstance(value, STRUCTS[name]):
			raise TypeError(f"{STRUCTS[name].__name__} was expected, not {type(value).__name__}")
	arrays = [ctypes.c_void_p(array.ctypes.data) for array in (points, mixtures, statuses)]
	count = ctypes.c_size_t(points.size)
	status = LIBRARY.jw_mixture_map(ctypes.byref(setup), ctypes.byref(air), arrays[0], count, *arrays[1:], ctypes.byref(record))
	STATUSES.check(status, record)
	return MixtureMapResult(mixtures, statuses)


MixtureMapResult = collections.namedtuple("MixtureMapResult", "mixtures statuses")


def broadcast(kind, **members):
	"""Structs over the shape that the members broadcast to, by numpy's rules."""
	arrays = numpy.broadcast_arrays(*members.values())
	made = numpy.zeros(arrays[0].shape, numpy.dtype(kind))
	for name, array in zip(members, arrays):
		made[name] = array
	return made


def expected_information(prior, outcome):
	prior, outcome = numpy.ascontiguousarray(prior, float), numpy.ascontiguousarray(outcome, float)
	if prior.ndim != 1 or outcome.ndim != 2 or len(outcome) != len(prior):
		raise ValueError(f"n priors and n rows of outcomes were expected, not {prior.shape} and {outcome.shape}")
	call = LIBRARY.jw_expected_information
	call.restype = ctypes.c_double
	return call(ctypes.c_void_p(prior.ctypes.data), ctypes.c_void_p(outcome.ctypes.data), *outcome.shape)


def profile_contributions(profile, air, point):
	contribution = room(ctypes.c_double, len(FUNCTIONS["profile_unmeasured"](profile)))
	relative, record = ctypes.c_double(), STRUCTS["jw_error"]()
	for value, name in ((air, "jw_air"), (point, "jw_point")):
		if not isinstance(value, STRUCTS[name]):
			raise TypeError(f"{STRUCTS[name].__name__} was expected, not {type(value).__name__}")
	status = LIBRARY.jw_profile_contributions(ctypes.c_void_p(profile.pointer()), ctypes.byref(air), ctypes.byref(point),
	                                          ctypes.c_void_p(contribution.ctypes.data), ctypes.byref(relative),
	                                          ctypes.byref(record))
	STATUSES.check(status, record)
	return ProfileContributionsResult(contribution, relative.value)


ProfileContributionsResult = collections.namedtuple("ProfileContributionsResult", "contribution relative")


def _function(name, kind, parameters, doc):
	if name.endswith("_free"):
		return _dressed(lambda handle: handle.close(), name, f"Handle.close() of a {camel(parameters[0][1][0])}.", [])
	if name in OWN:
		return _dressed(globals()[plain(name)], name, doc + OWN[name], [])
	return _wrapper(name, kind, parameters, doc)


FUNCTIONS = {plain(row[0]): _function(*row) for row in _declared.FUNCTIONS if row[0] not in NOT_BOUND}
