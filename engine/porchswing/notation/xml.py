"""Building XML elements that hold texts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from xml.etree.ElementTree import Element, SubElement

OWN_FIELD = "porchswing "
"""What the names of our own ``<miscellaneous-field>`` elements begin with."""

NOT_GIVEN = "not given"
"""What such a field holds for a header line that the chart leaves to its default."""

_FORBIDDEN = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What is no character of XML 1.0 (section 2.2)."""


def text_child(parent: Element, tag: str, text: str, /, **attributes: str) -> Element:
    """Add a child that holds a text, without the characters XML 1.0 does not allow."""
    child = SubElement(parent, tag, attributes)
    child.text = _FORBIDDEN.sub("", text)
    return child


def add_texts(parent: Element, texts: Mapping[str, object]) -> Element:
    """Add a child that holds a text for each tag, none for ``None``; return the parent."""
    for tag, text in texts.items():
        if text is not None:
            text_child(parent, tag, str(text))
    return parent
