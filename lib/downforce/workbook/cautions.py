"""The cautions of this work as they stand in every workbook: open, on the page and on paper."""

from downforce.study.cautions import CAUTIONS
from downforce.workbook.bench import Page
from downforce.workbook.markup import element

_LOOK = "line-height:1.5;max-width:768px"


def all_cautions():
    """Every caution of the work as a list that is open, for what is folded does not print.

    Result: one item for each.
    """
    items = (element("li", element("b", f"{title}."), f" {words}") for title, words in CAUTIONS)
    return Page(
        element("ul", *items, style=_LOOK), "\n".join(f"{title}. {words}" for title, words in CAUTIONS)
    )
