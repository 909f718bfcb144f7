"""What our pages share: one small style sheet, and how a template is filled."""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Mapping
from hashlib import sha256
from importlib import resources

_FIELD = re.compile(r"\{\{(\w+)\}\}")


def look_css() -> str:
    """Return the custom properties (colours, type) that every page of ours is drawn with."""
    return resources.files(__package__).joinpath("look.css").read_text("utf-8")


def policy_source(text: str) -> str:
    """Return how a content security policy allows one script or style by its content."""
    return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"


def fill(template: str, fields: Mapping[str, str]) -> str:
    """Return the template with every ``{{name}}`` replaced once; what is filled in stays as it is.

    >>> fill("<b>{{a}}</b>", {"a": "{{a}}"})
    '<b>{{a}}</b>'
    """
    return _FIELD.sub(lambda found: fields[found.group(1)], template)
