# SPDX-License-Identifier: GPL-3.0-or-later
"""Every function of the headers, called by its words.

A C function's inputs are the parameters; what it writes is the result, a named tuple where there are several things.
"""
import collections
import ctypes
import inspect

import numpy

from . import _declared
from ._library import HANDLES, LIBRARY, STATUSES
from ._names import camel, plain, text
from ._roles import Count, Frame, OutArray, owned, reference, role_of, room
from ._structures import ENUMS, STRUCTS, TYPES, ctype, decoded, of_enum

# Functions that are written out below, and what is to be said of their parameters.
OWN = {
    "jw_expected_information": "\n\nThe lengths are those of the arrays.",
    "jw_mixture_map": "\n\nThe points are arrays or numbers that broadcast by numpy's rules; neighbours follow one "
                      "another along the last axis.\n\nResult: mixtures, records with the members of Mixture as "
                      "attributes, and statuses",
    "jw_profile_contributions": "\n\nResult: contribution, relative",
}
# Functions that are not bound, and why.
NOT_BOUND = {}


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


# These parameters are made last: counts follow the arrays that fix them, room follows counts.
LATE = (Count, OutArray)


def _wrapper(name, kind, parameters, doc):
    """A Python function that calls the C function of a name."""
    call = getattr(LIBRARY, name)
    call.restype = _return_type(kind)
    roles = [role_of(name, parameter, parameters, doc) for parameter in parameters]
    order = sorted(range(len(roles)), key=lambda i: isinstance(roles[i], LATE))
    told = [role for role in roles if role.told]
    signature = _signature([role for role in roles if role.asked])
    gathered = _gathering(name, kind, told)

    def function(*arguments, **named):
        bound = signature.bind(*arguments, **named)
        bound.apply_defaults()
        frame, passed = Frame(name), [None] * len(roles)
        for i in order:
            passed[i] = roles[i].given(bound.arguments.get(roles[i].python_name), frame)
        value = call(*passed)
        frame.close()
        if kind[0] == "jw_status":
            STATUSES.check(value, frame.record)
        results = [role.result(frame.made[role.name]) for role in told]
        return gathered(value, results, next(iter(bound.arguments.values()), None))

    function.__signature__ = signature
    return _dressed(function, name, kind, doc, told)


def _gathering(name, kind, told):
    """How the returned value and what C wrote become one result."""
    if kind[0] in ("jw_status", "void"):
        if len(told) < 2:
            return lambda value, results, first: results[0] if results else None
        several = collections.namedtuple(camel(name) + "Result", [role.python_name for role in told])
        return lambda value, results, first: several(*results)
    if not told:
        return lambda value, results, first: _returned(kind, value, first)
    if kind[1]:  # an array, and how many there are
        return lambda value, results, first: [value[i].copy() for i in range(results[0])]
    return lambda value, results, first: results[0] if value else None  # whether there is any, and which


def _signature(asked):
    """Parameters in the order of C; the last ones that may be None may be left out."""
    parameters = []
    for i, role in enumerate(asked):
        default = None if all(each.optional for each in asked[i:]) else inspect.Parameter.empty
        parameters.append(inspect.Parameter(role.python_name, inspect.Parameter.POSITIONAL_OR_KEYWORD, default=default))
    return inspect.Signature(parameters)


def _dressed(function, name, kind, doc, told):
    function.__name__ = function.__qualname__ = plain(name)
    function.__module__ = __package__
    results = f"\n\nResult: {', '.join(role.python_name for role in told)}" if told else ""
    returned = ":status:" if kind[0] == "jw_status" else ":return:"
    function.__doc__ = text(doc, TYPES, returned) + results
    return function


# ---- functions of another shape ----


def mixture_map(setup, air, speed_rev_s, throttle, enrichener=0.0):
    points = broadcast(STRUCTS["jw_point"], speed_rev_s=speed_rev_s, throttle=throttle, enrichener=enrichener)
    mixtures, statuses = room(STRUCTS["jw_mixture"], points.shape), room(ctypes.c_int, points.shape)
    inputs = reference("setup", "jw_setup", setup), reference("air", "jw_air", air), _start(points)
    record = STRUCTS["jw_error"]()
    STATUSES.check(LIBRARY.jw_mixture_map(*inputs, ctypes.c_size_t(points.size), _start(mixtures), _start(statuses),
                                          ctypes.byref(record)), record)
    return MixtureMapResult(mixtures, statuses)


def _start(array):
    return ctypes.c_void_p(array.ctypes.data)


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
    return call(_start(prior), _start(outcome), *outcome.shape)


def profile_contributions(profile, air, point):
    contribution = room(ctypes.c_double, len(FUNCTIONS["profile_unmeasured"](profile)))
    relative, record = ctypes.c_double(), STRUCTS["jw_error"]()
    inputs = reference("air", "jw_air", air), reference("point", "jw_point", point)
    outputs = _start(contribution), ctypes.byref(relative), ctypes.byref(record)
    STATUSES.check(LIBRARY.jw_profile_contributions(owned("profile", "jw_profile", profile), *inputs, *outputs), record)
    return ProfileContributionsResult(contribution, relative.value)


ProfileContributionsResult = collections.namedtuple("ProfileContributionsResult", "contribution relative")


def _function(name, kind, parameters, doc):
    if name.endswith("_free"):
        return _dressed(lambda handle: handle.close(), name, kind, f"Handle.close() of a {camel(parameters[0][1][0])}.", [])
    if name in OWN:
        return _dressed(globals()[plain(name)], name, kind, doc + OWN[name], [])
    return _wrapper(name, kind, parameters, doc)


FUNCTIONS = {plain(row[0]): _function(*row) for row in _declared.FUNCTIONS if row[0] not in NOT_BOUND}
