"""The same question to every page that answers it: all workbooks and the card say the same."""

import re
from functools import lru_cache

import nbformat
import numpy as np
import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.study.frame_lift import lift_pressure
from downforce.study.oil.cases import usual_pressure
from downforce.study.pressure_setting import recommend
from downforce.study.setting.gauge_face import TURNS, turn
from downforce.study.setting.reasons import aim_words, limit_text, rounded, rows_in_ten, verdict_words
from downforce.study.setting.same_target import same_push
from downforce.study.setup_card import card_data
from downforce.workbook.bench import Bench
from downforce.workbook.card import lesson as card_lesson
from downforce.workbook.cylinders import lesson as cylinder_lesson
from downforce.workbook.frame import lesson as frame_lesson
from downforce.workbook.ground import lesson as ground_lesson
from downforce.workbook.ground.words import gains_on
from downforce.workbook.oil import circuit
from downforce.workbook.opened import load_at_setting, setting_today
from downforce.workbook.series import workbook
from downforce.workbook.setting import lesson as setting_lesson
from downforce.workbook.setting.words import band_words
from downforce.workbook.start import lesson as start_lesson
from downforce.workbook.style import percent

PAIRS = [
    ("air_drill_12m", "firm", "metric"),
    ("air_drill_12m", "dry_hard_tracks", "US"),
    ("box_drill_15ft", "dry_hard_tracks", "US"),
    ("box_drill_15ft", "firm", "metric"),
    ("double_disc_9m", "moist_soft", "metric"),
]


@pytest.fixture(params=PAIRS, ids="-".join, scope="module")
def bench(request):
    drill, field, units = request.param
    return Bench(example_drill(drill), example_field(field), units)


@pytest.fixture(scope="module")
def setting(bench):
    return recommend(bench.drill, bench.field)


@pytest.fixture(scope="module")
def card(bench):
    return card_data(bench.drill, bench.field, units=bench.units.name)


@pytest.fixture(scope="module")
def shown(bench, all_unrendered):
    """Each page and panel of the bench, built once for all questions."""
    return lru_cache(lambda build: build(bench))


def row_of(page, start):
    return next(line.split("; ") for line in page.plain.splitlines() if line.startswith(start))


def test_what_to_set(bench, setting, card, shown):
    units, words = bench.units, setting.words(bench.units)
    dialled = units.show("pressure", bench.dialled)
    assert words.startswith(dialled)
    assert row_of(shown(start_lesson.result_table), "Setting")[1] == dialled
    assert f"Set {words}" in shown(setting_lesson.today_panel).sentence
    assert f"Set {words}; decided by" in shown(setting_lesson.reasons_table).plain
    assert dialled in row_of(shown(setting_lesson.settings_table), bench.field.name)
    assert next(line for line in card.starts if line.today).pressure_text == words
    assert f"Today set {words}" in shown(card_lesson.card_panel).sentence
    assert f"start at {dialled}" in shown(setting_lesson.gauge_page).plain or (
        f"{dialled} and no more" in shown(setting_lesson.gauge_page).plain
    )
    assert f"recommended setting, {dialled}" in shown(frame_lesson.headroom_table).plain
    assert usual_pressure(bench.drill, bench.field) == setting.setting
    number = float(units.number("pressure", bench.dialled))
    for panel, name in (
        (shown(setting_lesson.ladder_panel), "pressure"),
        (shown(setting_lesson.width_panel), "pressure"),
        (shown(frame_lesson.free_body_panel), "pressure"),
        (shown(frame_lesson.hopper_panel), "pressure"),
        (shown(circuit.circuit_panel), "setting"),
        (shown(cylinder_lesson.force_panel), "pressure"),
        (shown(card_lesson.decision_panel), "now"),
    ):
        control = getattr(getattr(panel, "part", panel), "controls", {}).get(name)
        if control is not None:
            assert control.value == pytest.approx(number, abs=0.01), panel


def test_what_it_leaves_on_the_gauge_wheel_of_the_mean_row(bench, card, shown):
    """All at the number that is printed, and none at the one it was rounded from."""
    units = bench.units
    start = next(line for line in card.starts if line.today)
    left = start.gauge_wheel_load
    ladder = shown(setting_lesson.ladder_panel)
    if start.load_text == units.both("force", left):
        told = units.show("force", left)
        assert f"{told} on the gauge wheel" in ladder.sentence
        assert shown(load_at_setting).plain.partition("\n")[0].endswith(f": {told}")


def test_in_which_band_and_under_which_limit(bench, setting, card, shown):
    units = bench.units
    band = band_words(setting, units)
    assert band in row_of(shown(setting_lesson.settings_table), bench.field.name)
    mine = next(one for one in card.face.bands if one.name == bench.field.name)
    assert (mine.low, mine.high) == setting.band
    red = limit_text(units, setting.red_line)
    assert card.limits[0][1].startswith(red)
    ceiling = rounded(units, setting.ceiling, np.floor)
    assert bench.dialled <= ceiling + 1.0 <= rounded(units, setting.red_line, np.floor) + 2.0
    assert next(line for line in card.starts if line.today).ceiling == setting.ceiling


def test_where_the_wanted_share_is_in_and_where_most_rows_have_enough(bench, setting, shown):
    """Turned up or weighed by the rule: each pressure as openers bounce at that pressure itself."""
    share, best = (bench.units.both("pressure", at) for at in (setting.needed_for_share, setting.best))
    reasons = shown(setting_lesson.reasons_table)
    assert row_of(reasons, "enough rows")[1] == share
    assert row_of(reasons, "most rows with enough")[1] == best
    _, _, _, at_best, _, turned_up = row_of(shown(start_lesson.result_table), "Setting")
    assert best.startswith(f"{at_best} (") and share.startswith(f"{turned_up} (")
    assert share.startswith(row_of(shown(ground_lesson.fields_table), f"{bench.field.name}: cylinder")[1])
    panel = shown(setting_lesson.turn_up_panel)
    assert panel.result.cylinders.setting == pytest.approx(setting.needed_for_share, rel=1e-9)
    moved = shown(setting_lesson.today_panel).result.setting
    assert moved.needed_for_share == pytest.approx(setting.needed_for_share, rel=1e-9)
    opened = shown(setting_today).plain
    assert f"for the wanted share of rows = {share.partition(' (')[0]}" in opened


def test_where_the_frame_lifts(bench, setting, card, shown):
    units = bench.units
    lift = limit_text(units, float(setting.lift.lowest))
    assert float(setting.lift.lowest) == float(lift_pressure(bench.drill, bench.field.opener_soil).lowest)
    assert f"lifts at {lift}" in shown(start_lesson.result_table).plain
    assert f"lifts at {lift}" in shown(setting_lesson.today_panel).sentence
    assert lift in shown(setting_lesson.reasons_table).plain
    first = [row.split("; ")[1] for row in shown(frame_lesson.headroom_table).plain.splitlines()[2:-1]]
    level = (
        first[-len(bench.drill.sections) :]
        if bench.drill.seed_on_frame
        else first[: len(bench.drill.sections)]
    )
    assert min(level, key=lambda text: int(text.split(" ")[0])) == lift
    assert card.lifts[-1].lift_text.startswith(lift)
    assert f"at {lift}" in shown(frame_lesson.map_panel).sentence


def test_what_the_rows_do(bench, setting, card, shown):
    said = verdict_words(setting.shares)
    assert said in shown(setting_lesson.today_panel).sentence
    assert said in shown(setting_lesson.reasons_table).plain
    assert said in row_of(shown(setting_lesson.settings_table), bench.field.name)
    today = next(line for line in card.starts if line.today)
    rows = rows_in_ten(setting.shares)
    assert today.verdict.startswith(f"{rows.enough} in 10 enough, ")
    assert today.notes[0] == aim_words(setting, bench.units)
    assert aim_words(setting, bench.units) in shown(setting_lesson.remedies_table).plain
    counted = row_of(shown(start_lesson.result_table), "Rows with less than")[1]
    assert counted == percent(setting.shares.short)
    assert row_of(shown(start_lesson.result_table), "Rows with enough")[1] == percent(setting.shares.enough)


def test_how_much_weight_is_in_hand_and_how_long_the_hopper_lasts(bench, setting, card, shown):
    """Headroom is a share of the frame load on every page."""
    used, lift = setting.case.frame_load(setting.setting), setting.lift
    assert setting.headroom == pytest.approx(1.0 - used / float(lift.frame_load.min()))
    assert f"{percent(max(setting.headroom, 0.0))} of the weight" in shown(start_lesson.result_table).plain
    assert f"{percent(max(setting.headroom, 0.0))} of the weight in hand" in (
        shown(setting_lesson.today_panel).sentence
    )
    if bench.drill.seed_on_frame:
        empty = card.lifts[-1]
        assert empty.ceiling == setting.ceiling and empty.gauge_pressure == pytest.approx(float(lift.lowest))
        sentence = shown(frame_lesson.hopper_panel).sentence
        if setting.headroom >= bench.field.aim.headroom:
            assert "headroom lasts the whole hopper" in sentence


def number(text):
    return float(re.search(r"[\d.]+", text)[0])


@pytest.mark.parametrize("build", [start_lesson.alike_table, ground_lesson.oil_table])
def test_no_page_claims_more_than_its_table_shows_with_the_oil_in_it(bench, shown, build):
    """Each claim under the table against the printed rows, and the two pages against each other."""
    lines = shown(build).plain.splitlines()
    rows, note = {row[0]: row for row in (line.split("; ") for line in lines[2:-1])}, lines[-1]
    springs = rows.pop("springs as they are set")
    claims = re.findall(
        r"(pressure held|oil at \S+ \S+), (more|about as|less) even \((\d+) \w+\) and "
        r"(fewer|as many|more) rows short \(([^)]*%)\)",
        note,
    )
    assert [f"cylinders, {claim[0]}" for claim in claims] == list(rows)
    gains = []
    for name, even, spread, short, share in claims:
        row = rows[f"cylinders, {name}"]
        assert (number(row[-1]), row[3]) == (float(spread), share)
        ratio, slack = number(row[-1]) / number(springs[-1]), 0.5 / number(springs[-1]) + 1e-3
        low, high = {"more": (0, 0.95), "about as": (0.95, 1.05), "less": (1.05, 99)}[even]
        assert low - slack <= ratio <= high + slack, (name, even, ratio)
        order = number(share) - number(springs[3])
        assert {"fewer": order < 0, "as many": order == 0, "more": order > 0}[short], (name, share)
        gains.append(even == "more" and short != "more")
    moving = gains[1:]
    assert ("they are more even here and leave no more rows short" in note) == all(moving)
    assert ("they gain nothing here" in note) == (not any(moving))


def test_the_story_of_the_pages_is_that_of_the_tables():
    """On terraces cylinders with oil are ahead of springs where the circuit was made for it; else not."""
    field, oils = example_field("firm"), (273.15, 293.15, 323.15)
    for key, ahead in (("air_drill_12m", True), ("double_disc_9m", True), ("box_drill_15ft", False)):
        drill = example_drill(key)
        found = same_push(drill, field, *oils)
        gains = {gains_on(band.with_oil, found.springs) for band in found.oil}
        assert gains == {ahead} and ("careful shop" in drill.note) == ahead, key
    words = {
        name: " ".join(
            " ".join(cell.source.split())
            for cell in nbformat.read(workbook(name).path, as_version=4).cells
            if cell.cell_type == "markdown"
        )
        for name in ("start_here", "rough_ground", "oil_supply", "setup_card")
    }
    assert "With the oil in it they stay more even" in words["rough_ground"]
    assert "there more rows are short with cylinders than with springs" in words["rough_ground"]
    assert "A circuit made for the crossing keeps it" in words["oil_supply"]
    for name in ("oil_supply", "setup_card"):
        assert "The box drill is the warning" in words[name]
    assert "less even" not in words["start_here"] + words["setup_card"]


def test_what_to_do_when_the_soil_turns(bench, setting, card, shown):
    rule = next(line for line in card.change_rule if line.startswith("Soil turned "))
    panel = shown(setting_lesson.today_panel)
    for how in TURNS:
        answer = turn(setting, how, bench.units)
        assert f" {how}: {answer.words}" in rule
        panel.set(turned=how)
        count = re.search(r"(raise|lower) the gauge by (\d+) step", panel.sentence)
        steps = int(count[2]) * (1 if count[1] == "raise" else -1) if count else 0
        assert steps == answer.steps
