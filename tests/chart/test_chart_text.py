"""Files that are no text, not there, or not files; text and bytes from file objects."""

from __future__ import annotations

import re
from io import BytesIO, StringIO

import pytest

from porchswing.chart.chart_text import read_chart_text
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.limits import MAX_CHART_CHARACTERS
from porchswing.errors import ChartError


@pytest.mark.parametrize(
    ("data", "line", "column"),
    [
        (b"title: \xff\n[A]\n| F |\n", 1, 8),
        (b"[A]\n| F\xe9 |", 2, 4),
        (b"\xef\xbb\xbf[A]\n| F\xe9 |", 2, 4),
        (b"[A]\n| F | # \xe3\x81", 2, 9),
    ],
)
def test_a_file_that_is_not_utf8(tmp_path, data: bytes, line: int, column: int) -> None:
    path = tmp_path / "latin.changes"
    path.write_bytes(data)
    with pytest.raises(ChartError, match="UTF-8") as caught:
        read_chart_text(path)
    assert (caught.value.problems[0].line, caught.value.problems[0].column) == (line, column)


def test_a_file_that_is_not_there(tmp_path) -> None:
    with pytest.raises(ChartError, match=re.escape("none.changes")):
        read_chart_text(tmp_path / "none.changes")
    (tmp_path / "nine.changes").write_text("[A]\n| F |\n")
    for name in ("nien.changes", "nine"):
        with pytest.raises(ChartError) as caught:
            read_chart_text(tmp_path / name)
        assert caught.value.problems[0].hint == f"did you mean {tmp_path / 'nine.changes'}?"
    with pytest.raises(ChartError, match=r"name the charts in it: .*changes"):
        read_chart_text(tmp_path)
    with pytest.raises(ChartError, match="cannot read"):
        read_chart_text("a\x00b")


def test_file_objects_give_their_text_and_their_name() -> None:
    assert read_chart_text(StringIO("| F |")) == "| F |"
    assert read_chart_text(BytesIO(b"\xef\xbb\xbf| B\xe2\x99\xad |")) == "| B♭ |"
    with pytest.raises(ChartError, match="<chart>:1:1: this file is not UTF-8"):
        read_chart_text(BytesIO(b"\xff"))


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("lead", ["#", "##", "###"])
@pytest.mark.parametrize("sign", ["a", "é", "日", "𝄞"])
def test_a_file_longer_than_a_chart_is_refused_for_its_length(
    mark: bytes, lead: str, sign: str
) -> None:
    longest = lead + sign * (MAX_CHART_CHARACTERS - len(lead))
    assert read_chart_text(BytesIO(mark + longest.encode())) == longest
    for more in (sign, sign * MAX_CHART_CHARACTERS):
        text = read_chart_text(BytesIO(mark + (longest + more).encode()))
        assert len(text) > MAX_CHART_CHARACTERS
    with pytest.raises(ChartError, match=f"at most {MAX_CHART_CHARACTERS:,} characters"):
        parse_chart(text)
