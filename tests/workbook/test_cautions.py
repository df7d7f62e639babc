"""The cautions: one list, complete; that every workbook shows it is a rule of the house."""

import pytest

from downforce.workbook.cautions import CAUTIONS, all_cautions


@pytest.mark.parametrize(
    "words",
    [
        "never a hand",
        "surgery within hours",
        "live with the engine off",
        "gauge to zero, then loosen",
        "Nobody under or between",
        "only in its retainer",
        "Nitrogen only",
        "Never cap or plug",
        "tractor's maximum, not for the setting",
        "hollow shafts, hinge tubes",
        "folded centre of gravity",
        "swing down",
        "Local codes, the machine's manual and licensed people decide",
    ],
)
def test_the_list_says_it_as_plain_text_and_as_a_page(words):
    page = all_cautions()
    assert words in page.plain
    assert words in page.html.replace("&#x27;", "'")


def test_each_caution_stands_in_the_page_once():
    html = all_cautions().html
    assert html.count("<li>") == len(CAUTIONS) == len({title for title, _words in CAUTIONS})
