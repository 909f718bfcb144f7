"""Building XML elements that hold texts."""

from __future__ import annotations

from xml.etree.ElementTree import Element, SubElement

OWN_FIELD = "porchswing "
"""What the names of our own ``<miscellaneous-field>`` elements begin with."""

NOT_GIVEN = "not given"
"""What such a field says of a header line that the chart leaves to its default."""

_ALLOWED_CONTROLS = "\t\n\r"


def text_child(parent: Element, tag: str, text: str, /, **attributes: str) -> Element:
    """Add a child that holds a text, without the characters XML 1.0 does not allow."""
    child = SubElement(parent, tag, attributes)
    child.text = "".join(letter for letter in text if _is_allowed(letter))
    return child


def _is_allowed(letter: str) -> bool:
    """Whether XML 1.0 (section 2.2) allows a character."""
    code = ord(letter)
    return (
        letter in _ALLOWED_CONTROLS
        or 0x20 <= code <= 0xD7FF
        or 0xE000 <= code <= 0xFFFD
        or code >= 0x10000
    )
