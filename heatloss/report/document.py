"""What the reports and JSON documents of decisions share: their head, their frame, their cautions."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from heatloss.report.cautions import CAUTIONS
from heatloss.report.measures import heading, wrapped
from heatloss.report.text import SAMPLE_NOTE

if TYPE_CHECKING:
    from heatloss.season import Season


def document(season: Season, form: str, sample: bool, **data: Any) -> str:
    """A JSON document with its form, version, title and weather at the head."""
    import heatloss

    head = {"format": form, "version": heatloss.__version__, "title": season.house.title, "sample": sample}
    whole = {**head, "weather": season.weather.site.name, **data}
    return json.dumps(plain(whole), indent=2, ensure_ascii=False, allow_nan=False)


def plain(value: Any) -> Any:
    """Numbers as Python's own, null for those JSON has no word for."""
    if isinstance(value, dict):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(v) for v in value]
    value = value.item() if hasattr(value, "item") else value
    return None if isinstance(value, float) and not math.isfinite(value) else value


def framed(lines: list[str], sample: bool) -> str:
    """The lines as one text; a built-in house says so first and last."""
    return "\n".join([SAMPLE_NOTE, "", *lines, "", SAMPLE_NOTE] if sample else lines)


def titled(season: Season, question: str) -> Iterator[str]:
    """Title of the house, the question and the weather."""
    yield from wrapped(season.house.title or "A house without a title", indent=0)
    yield from wrapped(f"{question}, on the weather of {season.weather.site.name}", indent=0)


def cautioned() -> Iterator[str]:
    """The cautions under their heading."""
    yield from heading("Cautions")
    for text in CAUTIONS:
        yield from wrapped(text, bullet="- ")
