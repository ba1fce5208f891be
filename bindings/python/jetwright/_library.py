# SPDX-License-Identifier: GPL-3.0-or-later
"""The shared library, its statuses, and what it owns."""
import ctypes
import os
import pathlib
import weakref

from . import _built, _declared
from ._names import camel, text
from ._status import Statuses
from ._structures import TYPES, decoded

LIBRARY = ctypes.CDLL(os.fspath(pathlib.Path(__file__).resolve().parent / _built.LIBRARY))


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

    def __reduce__(self):
        raise TypeError(f"{type(self).__name__} is neither copied nor pickled")  # its copy would outlive what is freed

    def __enter__(self):
        self.pointer()
        return self

    def __exit__(self, *failure):
        self.close()


def handle_class(name, doc):
    body = {"__doc__": f"{text(doc, TYPES)}\n\n{Handle.__doc__}", "__module__": __package__}
    return type(camel(name), (Handle,), body)


HANDLES = {name: handle_class(name, doc) for name, doc in _declared.HANDLES}


def free_of(name):
    """The function that frees a handle: the one named ..._free that takes it."""
    for function, _, parameters, _ in _declared.FUNCTIONS:
        if function.endswith("_free") and parameters[0][1][0] == name:
            call = getattr(LIBRARY, function)
            call.argtypes, call.restype = [ctypes.c_void_p], None
            return call
    raise LookupError(name)


FREE = {name: free_of(name) for name in HANDLES}
