# SPDX-License-Identifier: GPL-3.0-or-later
"""What a carburetor meters, and which jet or passage explains how an engine runs.

The words are those of the C library without jw_ and JW_: mixture_at, HALF; structs and enumerations are classes:
Setup, Range. SI throughout. A negative status is an exception under Error, a warning bit a StatusWarning; what the
library owns (Profile, CaseFile, Readings, Report) is closed by `with`. Docstrings are those of the headers.
"""
import builtins as _builtins

from . import _built, _declared, _functions, _library, _structures
from ._functions import NOT_BOUND
from ._library import Handle
from ._names import plain as _plain
from ._status import Error, StatusWarning
from ._structures import Structure

_classes = {**_library.HANDLES, **_structures.ENUMS, **_structures.STRUCTS}
_classes = [kind for name, kind in _classes.items() if name not in ("jw_error", "jw_faults")]  # told by Error
_classes += [*_library.STATUSES.errors.values(), *_library.STATUSES.warnings.values()]
_public = {kind.__name__: kind for kind in _classes}
_public.update((member.name, member) for kind in _structures.ENUMS.values() for member in kind)
_public.update((_plain(name), value) for name, value, _ in _declared.CONSTANTS)
_public.update(_functions.FUNCTIONS)
globals().update(_public)
__all__ = ["Error", "Handle", "StatusWarning", "Structure", "NOT_BOUND"]
__all__ += [name for name in sorted(_public) if not hasattr(_builtins, name)]  # jetwright.MemoryError stays with its module

__version__ = _functions.FUNCTIONS["version"]()
if __version__ != _built.VERSION:
    raise ImportError(f"{_built.LIBRARY} is version {__version__}, this package was made for {_built.VERSION}")
