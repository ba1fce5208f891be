# SPDX-License-Identifier: GPL-3.0-or-later
"""Negative statuses as exceptions, warning bits as Python warnings, one class each."""
import warnings

from . import _declared
from ._names import exception

BASES = {"JW_E_ARGUMENT": (ValueError,), "JW_E_RANGE": (ValueError,), "JW_E_NOT_FINITE": (ValueError,),
         "JW_E_UNIT": (ValueError,), "JW_E_MEMORY": (MemoryError,), "JW_E_OPEN": (OSError,), "JW_E_WRITE": (OSError,)}


class Error(Exception):
    """A call that failed: what jw_error says of it.

    status: the negative number; name: "JW_E_RANGE"; text: what it means;
    field: which argument or member, or None; value, low, high: its value and the range that was expected, SI;
    file, faults: of files, what is wrong in which line.
    """

    status = 0
    name = ""
    text = ""

    def __init__(self, field=None, value=0.0, low=0.0, high=0.0, file="", faults=()):
        self.field, self.value, self.low, self.high = field, value, low, high
        self.file, self.faults = file, list(faults)
        super().__init__(self._told())

    def _told(self):
        told = self.text
        if self.field:
            told = f"{self.field}: {told}"
        if self.value or self.low or self.high:  # else no number tells it
            told += f": {self.value:.9g}"
        if self.low < self.high:
            told += f", expected {self.low:.9g} to {self.high:.9g}"
        for fault in self.faults:
            place = f"{self.file}:{fault.line}:{fault.column}" if fault.line else self.file
            told += f"\n{place}: {fault.path + ': ' if fault.path else ''}{fault.message}"
        return told


class StatusWarning(UserWarning):
    """A result that is valid with a reservation. bit: of the status; name: "JW_W_CHOKED"."""

    bit = 0
    name = ""


def _classes(text_of):
    """The classes of all codes, by number."""
    errors, cautions = {}, {}
    (codes,) = [rows for name, rows, _ in _declared.ENUMS if name == "jw_status_code"]
    for name, number, _ in codes:
        if number < 0:
            body = {"status": number, "name": name, "text": text_of(number), "__doc__": text_of(number) + ".",
                    "__module__": __package__}
            errors[number] = type(exception(name), (Error, *BASES.get(name, ())), body)
        elif number > 0:
            body = {"bit": number, "name": name, "__doc__": text_of(number) + ".", "__module__": __package__}
            cautions[number] = type(exception(name), (StatusWarning,), body)
    return errors, cautions


class Statuses:
    """Raises and warns."""

    def __init__(self, text_of):
        self.errors, self.warnings = _classes(text_of)

    def check(self, status, record=None):
        """Of the function that calls this; a warning points at who called that."""
        if status < 0:
            raise self._error(status, record)
        for bit, category in self.warnings.items():
            if status & bit:
                warnings.warn(category.__doc__.removesuffix("."), category, stacklevel=3)

    def _error(self, status, record):
        """The exception from what the call filled: a jw_error, jw_faults, or nothing."""
        kind = self.errors[status]
        if record is None:
            return kind()
        if hasattr(record, "item"):
            return kind(file=record.file, faults=[fault.copy() for fault in record.item[:record.count]])
        return kind(record.field, record.value, record.low, record.high)
