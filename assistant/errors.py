"""Every error a user can meet; each message says what to do.

BenchcallError
├── AudioError        sound that cannot be used: file, device, format
├── ModelError        a recogniser's model is missing, damaged or not trusted
├── HearingError      a recogniser failed while hearing
├── ProfileError      a profile in grammars/ is wrong: file, place, found, allowed
├── RecordError       a journal cannot be written, read or trusted
│   └── ConflictError    somebody else changed the same thing first
├── UnknownNameError  an id (session, quantity, ear, round …) that nothing has
├── SpeechError       nothing can be said aloud
├── ServingError      the supervisor's pages can't be served so: address, port, users, settings
└── NotDeterminedError  a calculation refuses: the readings do not decide it
"""

from __future__ import annotations


class BenchcallError(Exception):
    """Base of all errors; ``str(error)`` is one or two sentences for the user."""


class AudioError(BenchcallError):
    """Sound that cannot be used: file, device or format."""


class ModelError(BenchcallError):
    """A recogniser's model is missing, damaged or not trusted."""


class HearingError(BenchcallError):
    """A recogniser failed while hearing."""


class ProfileError(BenchcallError):
    """A profile is wrong; the message names file, place, what was found, what is allowed."""


class RecordError(BenchcallError):
    """A journal cannot be written, read or trusted."""


class ConflictError(RecordError):
    """Somebody else changed the same thing first; nothing was written."""


class UnknownNameError(BenchcallError):
    """An id that nothing has; the message lists the nearest ones."""


class SpeechError(BenchcallError):
    """Nothing can be said aloud."""


class ServingError(BenchcallError):
    """The supervisor's pages can't be served so: address, port, certificate or users."""


class NotDeterminedError(BenchcallError):
    """The readings do not decide the answer; the message says what to measure."""
