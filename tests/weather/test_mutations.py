"""Whatever is done to the text of a file, it is read whole or refused in one sentence; never anything else."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatloss.errors import WeatherError
from heatloss.weather import Weather, files, samples

BITS = ("nan", "inf", "-200", "", "abc", "9999", "-9900", "\x00", '"', ",", "\n", "24:00", "1e400", "é", "{", "]", "0")

edits = st.lists(st.tuples(st.floats(0, 1), st.integers(0, 3), st.sampled_from(BITS)), min_size=1, max_size=4)


def outcome(content: str) -> Weather | str:
    """What a text gives: weather, or the sentence of the refusal; any other error fails the test."""
    try:
        return files.weather_of(content, "text")
    except WeatherError as error:
        return str(error)


def changed(content: str, edits: list[tuple[float, int, str]]) -> str:
    """The text with short pieces cut out and others put in."""
    for place, length, bit in edits:
        at = int(place * len(content))
        content = content[:at] + bit + content[at + length :]
    return content


@pytest.mark.parametrize("name", samples())
@given(edits=edits)
@settings(max_examples=60)
def test_small_files(name: str, edits, text) -> None:
    refused = outcome(changed(text(name)[:6000], edits))  # far too short to be a year
    assert isinstance(refused, str)
    assert "\n" not in refused
    assert len(refused) < 500


@pytest.mark.parametrize("name", ["chicago", "golden", "nw_colorado", "italy_45n8e"])
@given(edits=edits)
@settings(max_examples=8)
def test_whole_files(name: str, edits, text) -> None:
    got = outcome(changed(text(name), edits))
    if isinstance(got, Weather):
        assert np.isfinite(got.hours.to_numpy()).all()


@given(content=st.text(max_size=200), kind=st.sampled_from([None, *files.KINDS]))
@settings(max_examples=200)
def test_any_text(content: str, kind: str | None) -> None:
    with pytest.raises(WeatherError):
        files.weather_of(content, "text", kind)
