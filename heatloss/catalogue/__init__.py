"""Values of the trade with their sources: exact look-up by name, never a guess."""

from __future__ import annotations

from heatloss.catalogue.fields import KINDS, MARKS
from heatloss.catalogue.rows import Own, Row, Value, default, names, read_own, row

__all__ = ["KINDS", "MARKS", "Own", "Row", "Value", "default", "names", "read_own", "row"]
