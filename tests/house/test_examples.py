"""The examples in docstrings are run, so that they stay true."""

import doctest

import numpy as np

from house.test_docstrings import modules


def test_examples_give_what_they_say():
    tried, wrong = 0, []
    for module in modules():
        ran = doctest.testmod(module, extraglobs={"np": np}, optionflags=doctest.NORMALIZE_WHITESPACE)
        tried += ran.attempted
        wrong += [f"{module.__name__}: {ran.failed} of {ran.attempted}, printed below"] if ran.failed else []
    assert tried > 100 and not wrong, "\n".join((f"{tried} examples were tried.", *wrong))
