"""The public surface is complete: every name listed is there, documented and typed."""

from __future__ import annotations

import inspect

import pytest

import porchswing


@pytest.mark.parametrize("name", porchswing.__all__)
def test_every_public_name_is_there_and_documented(name: str) -> None:
    member = getattr(porchswing, name)
    assert name in dir(porchswing)
    if name != "__version__":
        assert inspect.getdoc(member), f"{name} has no docstring"


def test_every_public_function_is_fully_annotated() -> None:
    for name in porchswing.__all__:
        member = getattr(porchswing, name)
        if inspect.isfunction(member):
            parameters = inspect.signature(member).parameters
            assert set(member.__annotations__) == {*parameters, "return"}, name


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'strum_machine'"):
        _ = porchswing.strum_machine
