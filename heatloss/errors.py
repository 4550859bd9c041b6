"""The one small family of errors: each says what was wanted, what came, and the line to type."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


class InputError(ValueError):
    """Something a person typed or passed is not usable; the message says how to mend it."""


class UnknownNameError(InputError, LookupError):
    """A name that is in no list; the nearest ones are named and none is picked.

    Parameters
    ----------
    what : str
        What kind of name was wanted, such as ``"glazing"``.
    name : str
        The name that came.
    known : iterable of str
        The names that exist.
    where : str
        The key or file the name stood in, may be empty.
    """

    def __init__(self, what: str, name: str, known: Iterable[str], where: str = "") -> None:
        self.name = name
        self.nearest = nearest(name, known)
        place = f" ({where})" if where else ""
        hint = f"The nearest: {', '.join(self.nearest)}." if self.nearest else "Nothing is near it."
        super().__init__(f"{what} must be a known name, got {name!r}{place}. {hint}")


class WeatherError(InputError):
    """A weather file or frame that cannot be used as it stands."""


def nearest(name: str, known: Iterable[str], count: int = 4) -> tuple[str, ...]:
    """Known names most like ``name``, best first; for messages only, never to choose one.

    >>> nearest("pelets", ["pellets", "propane", "heating oil"])
    ('pellets',)
    """
    by_lower = {k.lower(): k for k in known}
    close = difflib.get_close_matches(str(name).lower(), by_lower, n=count, cutoff=0.4)
    within = [k for k in by_lower if str(name).lower() in k and k not in close]
    return tuple(by_lower[k] for k in [*close, *within][:count])
