"""Fetching typical years, from a server on this machine that replays constructed answers; never from the network."""

from __future__ import annotations

import gzip
import json
import threading
import time
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import parse_qs, urlparse

import numpy as np
import pytest

from heatloss.errors import UnknownNameError, WeatherError
from heatloss.weather import read_weather
from heatloss.weather.download import CACHE, cache_folder, download


class Service:
    """Answers in the order given, the last one again and again; keeps what was asked."""

    def __init__(self) -> None:
        self.answers: list[tuple[int, bytes, float]] = []
        self.cut = False
        self.asked: list[dict[str, list[str]]] = []
        service = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                service.asked.append(parse_qs(urlparse(self.path).query))
                number = min(len(service.asked), len(service.answers)) - 1
                status, body, wait = service.answers[number]
                time.sleep(wait)
                try:
                    self.send_response(status)
                    self.send_header("Content-Length", str(len(body) + (1000 if service.cut else 0)))
                    self.end_headers()
                    self.wfile.write(body)
                except OSError:  # the client has gone
                    pass

            def log_message(self, *_: object) -> None:
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        threading.Thread(target=self.server.serve_forever, daemon=True).start()
        self.url = f"http://127.0.0.1:{self.server.server_address[1]}/"

    def says(self, *answers: tuple[int, str | bytes] | tuple[int, str | bytes, float]) -> None:
        self.answers = [
            (a[0], a[1].encode() if isinstance(a[1], str) else a[1], a[2] if len(a) == 3 else 0.0) for a in answers
        ]


@pytest.fixture
def service(monkeypatch, tmp_path) -> Iterator[Service]:
    for name in ("http_proxy", "https_proxy", "HTTP_PROXY", "HTTPS_PROXY", "all_proxy", "ALL_PROXY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv(CACHE, str(tmp_path / "cache"))
    made = Service()
    yield made
    made.server.shutdown()
    made.server.server_close()


@pytest.fixture(scope="module")
def year(text) -> str:
    """A PVGIS answer, constructed from the rows of the Italian sample."""
    rows = []
    for line in text("italy_45n8e").split("\n")[18 : 18 + 8760]:
        stamp, *values = line.strip().split(",")
        names = ("T2m", "RH", "G(h)", "Gb(n)", "Gd(h)", "IR(h)", "WS10m", "WD10m", "SP")
        rows.append({"time(UTC)": stamp, **dict(zip(names, map(float, values), strict=True))})
    location = {"latitude": 45.0, "longitude": 8.0, "elevation": 250.0, "irradiance_time_offset": 0.1761}
    return json.dumps(
        {
            "inputs": {"location": location},
            "outputs": {"months_selected": [{"month": 1, "year": 2010}], "tmy_hourly": rows},
            "meta": {"inputs": {"location": {"description": "Selected location"}}, "outputs": {}},
        }
    )


def refusal(service: Service, **options: object) -> str:
    with pytest.raises(WeatherError) as caught:
        download(45.0, 8.0, url=service.url, pause=0.01, **options)  # type: ignore[arg-type]
    assert not list(cache_folder().glob("*")), "nothing may be left of a failed download"
    return str(caught.value)


def test_a_year_is_fetched_once_and_reads_as_the_file_does(service, year, sample) -> None:
    service.says((200, year))
    path = download(45.0, 8.0, url=service.url)
    assert path.parent == cache_folder()
    assert path.name == "pvgis_45.000_8.000.json.gz"
    weather = read_weather(path)
    assert weather.site.kind == "pvgis_json"
    assert np.array_equal(weather.hours.to_numpy(), sample("italy_45n8e").hours.to_numpy())
    assert service.asked[0]["lat"] == ["45.0"]
    assert download(45.0, 8.0, url=service.url) == path
    assert len(service.asked) == 1, "the second call is answered from the cache"
    download(45.0, 8.0, url=service.url, refresh=True)
    assert len(service.asked) == 2
    assert [file.name for file in path.parent.iterdir()] == [path.name], "no half file is left"


def test_faults_that_pass_are_tried_again(service, year) -> None:
    service.says((503, "busy"), (500, "oops"), (200, year))
    assert download(45.0, 8.0, url=service.url, pause=0.01).is_file()
    assert len(service.asked) == 3


def test_a_service_that_stays_away(service) -> None:
    service.says((503, "busy"))
    assert refusal(service) == (
        "PVGIS must answer with a year of weather, got none after 3 tries: HTTP 503. "
        "Try later, or download a file by browser and give its name."
    )
    assert len(service.asked) == 3


def test_what_the_service_says_is_passed_on_and_not_asked_again(service) -> None:
    service.says((400, json.dumps({"message": "Location over the sea. Please, select another location"})))
    assert "it says 'Location over the sea. Please, select another location'." in refusal(service)
    assert len(service.asked) == 1


def test_an_error_without_a_sentence(service) -> None:
    service.says((400, json.dumps({"status": 400})))
    assert "its answer was no whole year" in refusal(service)
    service.says((404, "<html>gone</html>"))
    service.asked.clear()
    assert "HTTP 404" in refusal(service)
    assert len(service.asked) == 1


def test_silence(service, year) -> None:
    service.says((200, year, 1.0))
    assert "it was silent for too long" in refusal(service, timeout=0.1, tries=2)
    assert len(service.asked) == 2


def test_no_connection(service) -> None:
    service.server.shutdown()
    service.server.server_close()
    assert "after 3 tries: there is no connection" in refusal(service)


@pytest.mark.parametrize("cut", [False, True])
def test_half_an_answer(cut: bool, service, year) -> None:
    service.cut = cut
    service.says((200, year[: len(year) // 2]))
    message = refusal(service, tries=2, timeout=2.0)
    assert "answer" in message
    assert "after 2 tries" in message


def test_a_year_that_lacks_hours_is_not_kept(service, year) -> None:
    tree = json.loads(year)
    del tree["outputs"]["tmy_hourly"][100:110]
    service.says((200, json.dumps(tree)))
    assert refusal(service).startswith("hours must follow one another without a gap, got 8750 rows of 8760")


@pytest.fixture(scope="module")
def american(text) -> str:
    """An answer of the NSRDB: hours of the Colorado sample at minute 30."""
    lines = text("nw_colorado").split("\n")
    return "\n".join(lines[:3] + lines[3:17523][1::2]) + "\n"


def test_nsrdb_with_a_key(service, american, sample) -> None:
    service.says((200, american))
    path = download(40.53, -108.54, service="nsrdb", key="abc", email="a@b.c", url=service.url)
    weather = read_weather(path)
    assert weather.site.kind == "nsrdb"
    assert weather.hours["temp_air"].mean() == pytest.approx(sample("nw_colorado").hours["temp_air"].mean(), abs=0.05)
    assert service.asked[0]["api_key"] == ["abc"]
    assert "abc" not in gzip.decompress(path.read_bytes()).decode()[:600]


def test_a_refused_key_is_not_printed(service) -> None:
    service.says((403, "API_KEY_INVALID secret-key"))
    with pytest.raises(WeatherError, match=r"it refuses the key \(HTTP 403\)") as caught:
        download(40.0, -100.0, service="nsrdb", key="secret-key", email="a@b.c", url=service.url)
    assert "secret-key" not in str(caught.value)
    service.says((502, "bad gateway"))
    with pytest.raises(WeatherError, match="HTTP 502") as caught:
        download(40.0, -100.0, service="nsrdb", key="secret-key", email="a@b.c", url=service.url, pause=0.01)
    assert "secret-key" not in str(caught.value)


def test_what_is_refused_before_asking(service) -> None:
    with pytest.raises(WeatherError, match=r"^key and email must be given for the NSRDB"):
        download(40.0, -100.0, service="nsrdb")
    with pytest.raises(WeatherError, match=r"^latitude must be between -90 and 90"):
        download(float("nan"), 8.0)
    with pytest.raises(UnknownNameError, match="The nearest: pvgis"):
        download(45.0, 8.0, service="pvgiss")
    assert service.asked == []


def test_a_cache_that_cannot_be_written(service, year, monkeypatch, tmp_path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("x", encoding="utf-8")
    monkeypatch.setenv(CACHE, str(blocked / "below"))
    service.says((200, year))
    with pytest.raises(WeatherError, match=r"^cache folder must be one that can be written to"):
        download(45.0, 8.0, url=service.url)


@pytest.mark.parametrize(
    ("platform", "variable", "value", "ending"),
    [
        ("linux", "XDG_CACHE_HOME", "/x", "/x/heatloss"),
        ("win32", "LOCALAPPDATA", "/l", "/l/heatloss"),
        ("darwin", "HOME", "/h", "/h/Library/Caches/heatloss"),
        ("linux", CACHE, "/mine", "/mine"),
    ],
)
def test_cache_folder_by_system(platform: str, variable: str, value: str, ending: str, monkeypatch) -> None:
    for name in (CACHE, "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr("sys.platform", platform)
    monkeypatch.setenv(variable, value)
    assert cache_folder().as_posix() == ending
