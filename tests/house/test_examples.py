"""The examples in docstrings are run, so that they stay true."""

import doctest

import pytest

from house.test_docstrings import modules

MODULES = list(modules())


@pytest.mark.parametrize("module", MODULES, ids=[m.__name__.removeprefix("downforce.") for m in MODULES])
def test_examples_give_what_they_say(module):
    import numpy as np

    failed, _ = doctest.testmod(module, extraglobs={"np": np}, optionflags=doctest.NORMALIZE_WHITESPACE)
    assert failed == 0
