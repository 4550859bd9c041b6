"""Every danger that must be named is named, and briefly."""

from __future__ import annotations

import pytest

from heatloss.report import CAUTIONS


@pytest.mark.parametrize(
    "words",
    [
        "estimate", "not a design", "carbon monoxide alarm", "flue", "pellets give off carbon monoxide",
        "clearances", "Film, bubble lining and foam burn", "second source of heat", "alarm for cold", "power",
        "Fish need air from a battery", "freezing", "Snow", "curtain", "Local codes", "licensed installer",
    ],
)  # fmt: skip
def test_the_danger_is_named(words: str) -> None:
    assert words in " ".join(CAUTIONS)


def test_each_is_short() -> None:
    assert all(len(caution) <= 240 for caution in CAUTIONS)
