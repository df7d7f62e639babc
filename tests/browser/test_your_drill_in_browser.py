"""A stranger describes a drill in the browser, and comes to a card without touching a file.

Pictures of the form are saved in the folder that the variable DOWNFORCE_SHOTS names, if it is set.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

import lab
import pytest
from pypdf import PdfReader

from downforce.machine import read_drill
from downforce.workbook.series import workbook

ANSWERS = {
    "How far is one row": "10 in",
    "How many openers": "44",
    "How high is the pin": "19 in ± 1/4 in",
    "How long is the arm": "26 in",
    "How large is the disc": "18 in",
    "What does one opener weigh": "205 lb",
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A folder with the two workbooks."""
    if lab.chromium_path() is None:
        pytest.skip("no Chromium on this machine; on Debian: apt-get install chromium")
    pytest.importorskip("playwright", reason="pip install -r tests/requirements.txt")
    place = tmp_path_factory.mktemp("yard")
    lab.copy_workbooks(place, [workbook(name).path for name in ("your_drill", "setup_card")])
    return place


@pytest.fixture(scope="module")
def page(folder):
    """The workbook, run, on a server that remembers as on somebody's own computer."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DOWNFORCE_STATE", ".downforce.json")
        with lab.jupyter_server(folder) as address, lab.browser() as chromium:
            opened = lab.OpenNotebook(chromium, address, f"notebooks/{workbook('your_drill').file}")
            opened.run_all()
            yield opened
            assert opened.cell_errors() == []
            assert opened.complaints == []


def shoot(form, name):
    """Save a picture of the form."""
    if place := os.environ.get("DOWNFORCE_SHOTS"):
        Path(place).mkdir(parents=True, exist_ok=True)
        form.screenshot(path=Path(place) / f"form-{name}.png")


def choose(form, label, words):
    """Choose in a list by how an option begins or goes on."""
    listed = form.get_by_label(label, exact=True)
    option = listed.locator("option", has_text=words).first
    option.wait_for(state="attached")
    listed.select_option(label=option.text_content())


def said(page, form, words):
    """Wait until the form says something."""
    page.page.wait_for_function(
        "([form, words]) => form.textContent.includes(words)", arg=[form.element_handle(), words]
    )


def read_by_everybody(form):
    """Every control has a name, every word stands out, and what the form says is announced."""
    assert lab.nameless(form) == [] and lab.faint(form) == []
    assert form.get_by_role("textbox", name="Your answer").count() == 1
    assert form.get_by_role("combobox", name="Question").count() == 1


def test_a_stranger_comes_from_the_form_to_a_card_without_touching_a_file(page, folder):
    form = page.page.locator(".downforce-form").first
    form.scroll_into_view_if_needed()
    said(page, form, "How far is one row from the next?")
    choose(form, "Units shown", "US")
    said(page, form, "7.5 in is assumed")  # the answer's box is made anew with the units
    shoot(form, "1-begun")
    for question, answer in ANSWERS.items():
        choose(form, "Question", question)
        said(page, form, question)
        said(page, form, "is assumed")
        page.page.wait_for_timeout(1000)  # what was typed before the box stands would be lost
        box = form.get_by_label("Your answer", exact=True)
        if question == "How long is the arm":
            box.fill("26,5 in")
            box.press("Enter")
            said(page, form, "decimal comma")
            assert "decimal comma" in " ".join(form.get_by_role("status").all_text_contents())
            read_by_everybody(form)
            shoot(form, "2-refused")
        box.fill(answer)
        box.press("Enter")
        page.page.wait_for_function(
            "(form) => !form.querySelector('.downforce-form-words').textContent.includes('assumed')",
            arg=form.element_handle(),
        )
    panel = page.panels()[0]
    slider = panel.sliders()[0]
    panel.press(slider, "PageDown")
    shoot(form, "3-answered")
    choose(form, "Page", "The frame")
    said(page, form, "Of how many sections")
    choose(form, "Question", "wheel 1: How far behind")
    said(page, form, "level, to its axle")
    shoot(form, "4-frame")
    name = form.get_by_label("Name of the drill", exact=True)
    name.fill("The neighbour's drill")
    name.press("Enter")
    form.get_by_role("button", name="Write my drill").click()
    said(page, form, "in the next workbook you open or run")
    assert "Written:" in " ".join(form.get_by_role("status").all_text_contents())
    read_by_everybody(form)
    choose(form, "Begin with", "my own my_drill.toml")
    said(page, form, "How far is one row")
    shoot(form, "5-written")
    drill = read_drill(folder / "notebooks" / "my_drill.toml")
    assert (drill.row_count, drill.name, drill.units) == (44, "The neighbour's drill", "US")
    assert drill.row_spacing == pytest.approx(0.254)
    kept = json.loads((folder / "notebooks" / ".downforce.json").read_text(encoding="utf-8"))
    assert kept == {"drill": "my_drill.toml", "units": "US"}

    page.turn_to(f"notebooks/{workbook('setup_card').file}")
    page.run_all()
    assert "As you left it" in page.page.locator(".jp-Notebook").text_content()
    page.page.get_by_role("button", name="Card, both sides (PDF)").click()
    page.page.wait_for_function(
        "() => document.querySelector('.jp-Notebook').textContent.includes('Written: card_')", timeout=60_000
    )
    (card,) = (folder / "notebooks").glob("card_*.pdf")
    assert "The neighbour's drill" in PdfReader(card).pages[0].extract_text()


def test_what_cannot_be_named_or_read_is_found(page):
    """The checks find what they are there for."""
    page.page.evaluate(
        """() => document.body.insertAdjacentHTML("beforeend", `<div id="bad">
            <input type="text"><select></select><button></button><img src="data:,">
            <label>Length <input type="text"></label><img alt="a chart" src="data:,">
            <p style="color:#888">faint</p><p style="color:#000;background:#333">dark</p>
            <p>plain</p></div>`)"""
    )
    bad = page.page.locator("#bad")
    assert len(lab.nameless(bad)) == 4
    assert [words.split(": ")[1] for words in lab.faint(bad)] == ["faint", "dark"]
