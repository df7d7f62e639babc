"""The page for the phone: one file that asks nothing of a network, names every control, and can be read."""

import datetime
import json
import re
import threading
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser

import numpy as np
import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.study import card_window
from downforce.study.card_window import VALUES, PhoneTable
from downforce.study.cautions import WINDOW_CAUTION
from downforce.workbook.card.preview import TEMPLATE, phone_page, write_phone_page

DAY = datetime.date(2026, 11, 25)
D12, BOX = example_drill("air_drill_12m"), example_drill("box_drill_15ft")
FIRM = replace(example_field("firm"), seed_rate=120e-4)


def made_up(drill, first="wing, wheel"):
    """A table of the right shape without the work of one."""
    fills = np.array(card_window.HOPPER_FILLS if drill.seed_on_frame else (0.0,))
    shape = 2, 3, len(fills), 7
    values = {name: np.linspace(10e5, 99e5, np.prod(shape)).reshape(shape) for name in VALUES}
    values["lift"][0] = np.inf
    names = np.full(shape, first, dtype=object)
    reactions = 900.0 * 1.25 ** np.arange(-3.0, 4.0)
    speeds = FIRM.speed * np.array([0.75, 1.0, 1.25])
    return PhoneTable(reactions, {"moist": 0, "wet": 1, "dry": 0}, fills, speeds, values, names, 10e5, np.nan)


@cache
def page_of(name="Ours", field="Home"):
    return phone_page(replace(BOX, name=name), replace(FIRM, name=field), made_up(BOX), date=DAY)


class Elements(HTMLParser):
    """Every element with its attributes, and the text in it."""

    def __init__(self, page):
        super().__init__()
        self.all, self._open = [], []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.all.append([tag, dict(attrs), ""])
        self._open.append(self.all[-1])

    def handle_endtag(self, tag):
        while self._open and self._open.pop()[0] != tag:
            pass

    def handle_data(self, data):
        for element in self._open:
            element[2] += data

    def of(self, tag):
        return [(attrs, text.strip()) for name, attrs, text in self.all if name == tag]


def test_it_is_one_small_file_that_asks_nothing_of_a_network():
    page = page_of()
    assert len(page.encode()) < 500_000
    assert "default-src 'none'" in page
    for word in (
        "http:",
        "https:",
        "src=",
        "href",
        "@import",
        "url(",
        "fetch(",
        "XMLHttp",
        "Socket",
        "storage",
    ):
        assert word not in page.replace("http-equiv", ""), word
    assert "{{" not in page


def test_it_carries_what_must_be_said():
    page = page_of()
    for words in (WINDOW_CAUTION, "For setting, not a check", "Never past the red line", "Ours", "Home"):
        assert words in page
    assert DAY.isoformat() in page and "Invented" not in page
    assert "Invented examples, not for the field: Teaching box drill, 15 ft" in page_of(BOX.name)


def test_language_title_headings_and_names_are_there():
    """What an accessibility checker asks first; the checker itself found nothing on 2026-11-26."""
    found = Elements(page_of())
    assert found.of("html")[0][0]["lang"] == "en"
    assert found.of("title")[0][1] == "Set-up: Ours"
    (scale,) = (attrs["content"] for attrs, _ in found.of("meta") if attrs.get("name") == "viewport")
    assert "user-scalable" not in scale and "maximum-scale" not in scale
    assert len(found.of("main")) == len(found.of("h1")) == 1
    ids = [attrs["id"] for _, attrs, _ in found.all if "id" in attrs]
    assert len(ids) == len(set(ids))
    labelled = {attrs["for"] for attrs, text in found.of("label") if text}
    sliders = [attrs for attrs, _ in found.of("input")]
    assert len(sliders) == 3 and {slider["id"] for slider in sliders} == labelled
    assert all(text and attrs["type"] == "button" for attrs, text in found.of("button"))
    assert [text for _, text in found.of("button")][:3] == ["Drier", "Wetter", "Harder"]
    (status,) = (attrs for _, attrs, _ in found.all if attrs.get("role") == "status")
    assert status["aria-labelledby"] in ids
    for _, attrs, _ in found.all:
        assert attrs.get("role") != "group" or attrs["aria-label"]


def luminance(colour):
    """Relative luminance of WCAG 2.2, 1.4.3."""
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_is_that_of_the_guideline():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("theme", [r":root \{", r':root\[data-theme="dark"\] \{'])
def test_bright_and_dark_can_be_read(theme):
    """Text 7 to 1, edges of keys 3 to 1."""
    style = re.search(theme + r"(.*?)\}", TEMPLATE.read_text(encoding="utf-8"))[1]
    colours = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", style))
    for ink in ("ink", "soft", "stop"):
        assert contrast(colours[ink], colours["paper"]) >= 7.0, ink
    assert contrast(colours["ink"], colours["key"]) >= 7.0
    assert contrast(colours["edge"], colours["paper"]) >= 3.0


def test_names_cannot_break_the_page():
    name = '</script><script>alert("{{table}}")</script> & {{date}}'
    page = phone_page(replace(BOX, name=name), FIRM, made_up(BOX, name), date=DAY)
    found = Elements(page)
    assert len(found.of("script")) == 2
    assert found.of("h1")[0][1] == name
    table = json.loads(found.of("script")[0][1])
    assert table["first"][0] == name


def test_the_table_on_the_page_is_the_study_s():
    table = made_up(D12)
    found = json.loads(Elements(phone_page(D12, FIRM, table, "US", DAY)).of("script")[0][1])
    assert found["first_units"] == "US" and found["seed"] is None and found["today"]["soil"] == 3
    assert found["units"]["US"]["pressure"] == {"unit": "psi", "size": pytest.approx(6894.757), "step": 10.0}
    for name in VALUES:
        wanted = [value if np.isfinite(value) else None for value in table.values[name].ravel()]
        assert found["values"][name] == pytest.approx(wanted, abs=6e-4)


def test_it_is_written_once_and_never_over_another(tmp_path, monkeypatch):
    from downforce.workbook.card import preview as phone

    monkeypatch.setattr(phone, "phone_table", lambda drill, field, progress, stop: made_up(drill))
    path = write_phone_page(D12, FIRM, tmp_path / "a.html", date=DAY)
    first = path.read_bytes()
    with pytest.raises(ValueError, match=r"There is a file '.*a\.html' already"):
        write_phone_page(D12, FIRM, path)
    assert path.read_bytes() == first
    assert write_phone_page(BOX, FIRM, path, date=DAY, replace=True) == path and path.read_bytes() != first
    with pytest.raises(ValueError, match=r"'a\.pdf' does not end so"):
        write_phone_page(D12, FIRM, tmp_path / "a.pdf")
    with pytest.raises(ValueError, match="There is no folder"):
        write_phone_page(D12, FIRM, tmp_path / "no" / "a.html")


def test_a_stopped_page_is_not_written(tmp_path):
    stop = threading.Event()
    stop.set()
    assert write_phone_page(D12, FIRM, tmp_path / "a.html", stop=stop) is None
    assert list(tmp_path.iterdir()) == []
