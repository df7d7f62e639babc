"""The page for the phone in Chromium, from a file: its numbers are the library's, and it asks for nothing."""

from __future__ import annotations

from dataclasses import replace

import lab
import numpy as np
import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.machine.units import METRIC, US
from downforce.study.card_window import area_to_refill, field_there, phone_table
from downforce.study.pressure_setting import recommend
from downforce.study.setting.reasons import limit_text, verdict_words
from downforce.workbook.card.preview import phone_page

pytestmark = pytest.mark.skipif(lab.chromium_path() is None, reason="needs Chromium or Chrome")

DRILL = example_drill("box_drill_15ft")
FIELD = replace(example_field("firm"), seed_rate=90 * 1.12085e-4)


@pytest.fixture(scope="module")
def table():
    return phone_table(DRILL, FIELD)


@pytest.fixture(scope="module")
def page(table, tmp_path_factory):
    path = tmp_path_factory.mktemp("phone") / "phone.html"
    path.write_text(phone_page(DRILL, FIELD, table), encoding="utf-8")
    with lab.browser() as chromium:
        page = chromium.new_page(viewport={"width": 390, "height": 844}, color_scheme="dark")
        page.complaints, page.asked = [], []
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        page.on("console", lambda message: page.complaints.append(message.text))
        page.on("request", lambda request: page.asked.append(request.url))
        page.goto(path.as_uri())
        yield page


def put(page, **values):
    """State of the page as its sliders and keys would leave it; what it then shows."""
    return page.evaluate("(values) => { Object.assign(state, values); show(); return answer(); }", values)


def test_every_point_of_the_table_is_the_recommended_setting(page, table):
    """In both unit systems, number, verdict, red line and lift; the library is asked at every fifth point."""
    kinds = {place: moisture for moisture, place in reversed(table.moistures.items())}
    for m, v, f, s in list(np.ndindex(table.first.shape))[::5]:
        there = field_there(FIELD, s - 3, kinds[m], float(table.speeds[v]))
        rows = recommend(DRILL, FIELD).case.moved(DRILL, there).sample
        found = recommend(DRILL, there, rows, hopper_fill=float(table.fills[f]))
        for units in (METRIC, US):
            said = put(page, units=units.name, moisture=kinds[m], soil=s, speed=v, fill=float(table.fills[f]))
            assert f"{said['number']:.0f} {said['unit']}" == units.show("pressure", found.to_set(units))
            assert said["verdict"] == verdict_words(found.shares)
            assert said["red"] == limit_text(units, found.red_line)
            assert said["lift"] == limit_text(units, float(found.lift.lowest))
            assert said["first"] == f"{found.lift.first_section}, {found.lift.first_support}"
            assert said["speed"] == units.show("speed", there.speed)


@pytest.mark.parametrize(("soil", "fill", "speed"), [(2.5, 0.25, 0.5), (3.25, 0.75, 1.5), (1.5, 0.4, 1.0)])
def test_between_points_it_is_within_a_step(page, table, soil, fill, speed):
    low = int(soil)
    share, reactions = soil - low, table.reactions
    reaction = (1 - share) * reactions[low] + share * reactions[low + 1]
    ratio = float(reaction / FIELD.opener_soil.target_reaction)
    there = replace(
        FIELD,
        soil=replace(FIELD.soil, reaction=FIELD.soil.reaction * ratio, spread=FIELD.soil.spread * ratio),
    )
    pace = float(np.interp(speed, range(3), table.speeds))
    found = recommend(DRILL, field_there(there, 0, FIELD.soil.moisture, pace), hopper_fill=fill)
    said = put(page, units="metric", moisture=FIELD.soil.moisture, soil=soil, speed=speed, fill=fill)
    step = METRIC.gauge_step
    assert said["number"] * 1e5 == pytest.approx(found.to_set(METRIC), abs=step)
    assert said["red_line"] == pytest.approx(found.red_line, abs=step)
    # Never past the ceiling of its own table.
    assert said["number"] * 1e5 <= said["ceiling"] + 1.0


def test_land_follows_hopper_seed_rate_and_speed(page, table):
    """Half a hopper of 3307 lb at 90 lb/ac is 18 ac; 15 ft at 9 km/h need 1.8 h for it."""
    said = put(page, units="US", moisture="moist", soil=3, speed=1, fill=0.5)
    area = area_to_refill(DRILL, FIELD, 0.5)
    assert said["land"] == US.show("land", area) == "18 ac"
    assert said["hours"] == pytest.approx(area / (24 * 7.5 * 0.0254 * FIELD.speed) / 3600, rel=1e-6)
    assert "18 ac, 1.8 h" in page.inner_text("#land")


def test_keys_and_sliders_move_it_and_its_way_back_is_the_card(page):
    put(page, units="US", moisture="moist", soil=3, speed=1, fill=0.0)
    first = page.inner_text("#number")
    page.click("text=Wetter")
    assert "wet" in page.inner_text("#soil-said") and page.inner_text("#number") != first
    page.click("text=Harder")
    assert page.input_value("#soil") == "3"
    page.focus("#soil")
    page.keyboard.press("ArrowRight")
    assert page.input_value("#soil") == "3.25"
    assert page.get_attribute("#soil", "aria-valuetext") == page.inner_text("#soil-said")
    page.click("text=As on the card")
    assert page.inner_text("#number") == first
    page.click("[data-units=metric]")
    assert page.inner_text("#number").endswith("bar")
    assert page.get_attribute("[data-units=metric]", "aria-pressed") == "true"


def test_dark_follows_the_phone_and_its_key_and_all_of_it_is_as_wide_as_the_screen(page):
    def theme():
        return page.evaluate("document.documentElement.dataset.theme")

    assert theme() == "dark" and page.get_attribute("#theme", "aria-pressed") == "true"
    page.click("#theme")
    assert theme() == "bright"
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    for key in page.locator("button").all():
        assert key.bounding_box()["height"] >= 44.0


def test_it_asked_for_nothing_and_complained_of_nothing(page):
    assert len(page.asked) == 1 and page.asked[0].startswith("file:")
    assert page.complaints == []
