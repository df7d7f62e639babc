"""Pages as HTML: words become HTML here and nowhere else, so that a name stands there as it is written."""

import re
from html import escape

from downforce.machine.unit_table import KINDS, METRIC, US

_DOLLAR = '<span class="mathjax_ignore tex2jax_ignore">$</span>'
"""JupyterLab takes what stands between two dollar signs for a formula, unless it is told not to [-]."""
_EMPTY = ("img", "br")
_UNITS = {"%"} | {each.unit(kind) for each in (METRIC, US) for kind in KINDS}
_BEFORE_UNIT = re.compile(rf"(?<=\d) (?=(?:{'|'.join(map(re.escape, sorted(_UNITS - {''})))})(?!\w))")


class Markup(str):
    """Text that is HTML already; all other text is made so before it is shown."""

    __slots__ = ()

    def __add__(self, other):
        return join(self, other)


def join(*parts):
    """Words and elements one after the other, as HTML."""
    return Markup("".join(one if isinstance(one, Markup) else _words(one) for one in parts))


def element(name, *inside, **attributes):
    """An HTML element.

    attributes: such as style="margin:0"; the line behind class_ is left out, one within a name is a hyphen.
    """
    given = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(str(value))}"' for key, value in attributes.items()
    )
    end = "" if name in _EMPTY else f"{join(*inside)}</{name}>"
    return Markup(f"<{name}{given}>{end}")


def unbroken(text):
    """Words for a narrow column, in which no line ends between a number and its unit."""
    return _BEFORE_UNIT.sub("\N{NO-BREAK SPACE}", text)


def page(shown):
    """What is shown as a page: HTML as it is, words as a paragraph."""
    return shown if isinstance(shown, Markup) else element("p", shown)


def filled(template, **words):
    """A template, HTML of ours, with words in place of the names in double braces."""
    for name, text in words.items():
        # No word can stand in for another part.
        template = template.replace(f"{{{{{name}}}}}", escape(text).replace("{{", "{&#123;"))
    return Markup(template)


def _words(text):
    return escape(str(text)).replace("$", _DOLLAR)
