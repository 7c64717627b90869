"""The one exception tree.

::

    LarkslateError            anything a person can put right; the message says how
    ├── Malformed             the input cannot be read (names the row or the place)
    ├── NotAllowed            the input is readable but may not be used like this
    ├── Ambiguous             more than one answer fits; the message lists them
    ├── Missing               a word, file, lesson or part is not there
    └── OutOfDate             a stored file was made by another version

Every message is one or two sentences: what is wrong and where, then what to do.
"""


class LarkslateError(Exception):
    """Base of all errors that a message can help a person to put right."""


class Malformed(LarkslateError):
    """Input that cannot be read; the message names the row or place."""


class NotAllowed(LarkslateError):
    """Input that can be read but may not be used like this."""


class Ambiguous(LarkslateError):
    """More than one answer fits; the message lists them."""


class Missing(LarkslateError):
    """Something asked for does not exist."""


class OutOfDate(LarkslateError):
    """A stored file was written by another version of the program."""
