"""The project's own errors: one root, one small class per cause.

Every error a user can meet derives from :class:`PorchswingError`; the command line
turns it into one readable paragraph and exit code 1, never a traceback.
"""

from __future__ import annotations

import shlex
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import islice
from os import PathLike
from pathlib import Path
from typing import Any


class PorchswingError(Exception):
    """The root of every error that this package raises on purpose.

    An error raised in another process arrives with all its fields.
    """

    def __reduce__(self) -> tuple[Any, ...]:
        """Return how another process rebuilds the error: without its constructor, fields kept."""
        return _again, (type(self), self.args, self.__dict__)


def _again(cls: type[PorchswingError], args: tuple[Any, ...], carried: dict[str, Any]) -> Any:
    error = cls.__new__(cls, *args)
    error.__dict__.update(carried)
    return error


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in a text the user wrote.

    ``line`` and ``column`` count from 1; ``column`` points at the first offending
    character of ``text`` (the whole source line) and ``width`` says how many
    characters the caret underlines.
    """

    file: str
    line: int
    column: int
    message: str
    hint: str = ""
    text: str = ""
    width: int = 1

    def __str__(self) -> str:
        """Return the problem as ``file:line:column: message`` with line, caret and hint."""
        rows = [f"{self.file}:{self.line}:{self.column}: {self.message}"]
        if self.text:
            rows.append(f"    {self.text}")
            rows.append("    " + " " * (self.column - 1) + "^" * max(1, self.width))
        if self.hint:
            rows.append(f"    hint: {self.hint}")
        return "\n".join(rows)


class ChartError(PorchswingError):
    """A chart that cannot be read; carries every problem found in one run."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("\n".join(str(problem) for problem in problems))


class ChordSymbolError(PorchswingError, ValueError):
    """A chord symbol that cannot be read; ``hint`` gives the nearest known spelling."""

    def __init__(self, message: str, hint: str = "", offset: int = 0) -> None:
        self.message, self.hint, self.offset = message, hint, offset
        super().__init__(f"{message} ({hint})" if hint else message)


class TuningError(PorchswingError, ValueError):
    """A tuning that is unknown or cannot be built from the notes given."""


class GripError(PorchswingError, ValueError):
    """A grip that cannot be played, or a chord without a grip within the limits."""


class UnplayableError(GripError):
    """A bar of a chart that cannot be gripped: ``section`` and ``bar`` (from 1) say which."""

    def __init__(self, message: str, section: str, bar: int) -> None:
        self.message, self.section, self.bar = message, section, bar
        super().__init__(f"section {section}, bar {bar}: {message}")


class PatternError(PorchswingError, ValueError):
    """A pattern file that breaks a rule; the message names the file and the key path."""


class CourseError(PorchswingError, ValueError):
    """A course file that breaks a rule; the message names the file and the key path."""


class SetListError(PorchswingError, ValueError):
    """A set list that breaks a rule; the message names the file and the key path."""


class LeadSheetError(PorchswingError, ValueError):
    """A lead sheet in another format that cannot be read, or that is refused as unsafe."""


class OptionError(PorchswingError, ValueError):
    """An option whose value is out of range or names something unknown."""


class OutputError(PorchswingError):
    """A file that cannot be written to the path given."""


class WrongTypeError(PorchswingError, TypeError):
    """A value of a type that a function does not take; the message gives the types it takes."""


class MissingExtraError(PorchswingError):
    """Something needs an optional extra that is not installed; the message says which."""


def missing_extra(what: str, extra: str, also: str = "") -> MissingExtraError:
    """Return the error of something that needs an extra, with the command that installs it.

    The command is right for the interpreter that runs: a tool of pipx or uv, or any Python. What
    runs from a checkout goes on running from it.
    """
    prefix = Path(sys.prefix).parts
    tool = "pipx" if "pipx" in prefix else "uv tool" if {"uv", "tools"} <= set(prefix) else ""
    extras = sorted({extra, *_installed_extras()}) if tool else [extra]
    package = shlex.quote(f"{_checkout() or _installed_from()}[{','.join(extras)}]")
    pip = f"{shlex.quote(sys.executable or 'python')} -m pip install"
    how = f"{tool} install --force" if tool else pip
    how += " --editable" if _checkout() else ""
    return MissingExtraError(f'{what} needs the extra "{extra}": {how} {package}{also}')


def _checkout() -> Path | None:
    """Return the checkout that this module runs from, ``None`` where it is a copy."""
    root = Path(__file__).resolve().parents[2]
    return root if (root / "pyproject.toml").is_file() else None


def _installed_from() -> str:
    """Return what to install again: the folder or file this came from, or the package's name."""
    import json
    from importlib.metadata import distributions
    from urllib.parse import urlsplit
    from urllib.request import url2pathname

    own = next(iter(distributions(name="porchswing")), None)
    try:  # direct_url.json: PEP 610
        origin = json.loads((own and own.read_text("direct_url.json")) or "{}")
    except ValueError:
        origin = {}
    address = urlsplit(origin.get("url", ""))
    path = Path(url2pathname(address.path))
    return str(path) if address.scheme == "file" and path.exists() else "porchswing"


def _installed_extras() -> set[str]:
    """Return the extras whose packages are all there; another install would drop them."""
    import re
    from importlib.metadata import distributions

    needed = re.compile(r"""([\w.-]+).*\bextra *== *["']([\w-]+)["'].*""")
    own = islice(distributions(name="porchswing"), 1)
    rows = [needed.fullmatch(row) for each in own for row in each.requires or ()]
    pairs = [(row[1], row[2]) for row in rows if row]
    lacking = {extra for package, extra in pairs if not any(distributions(name=package))}
    return {extra for _, extra in pairs} - lacking


def check_one_of(
    what: str, value: object, known: Iterable[str], error: type[PorchswingError] = OptionError
) -> None:
    """Raise unless a value is one of the known words."""
    words = list(known)
    if value not in words:
        raise error(f"{what} must be one of {', '.join(words)}, got {value!r}")


def near_word(word: str, known: Iterable[str], cutoff: float = 0.6) -> str:
    """Return the known word nearest to a wrong one, empty where none is near."""
    from difflib import get_close_matches  # only a mistake needs it

    return next(iter(get_close_matches(word, list(known), n=1, cutoff=cutoff)), "")


def near_hint(word: str, known: Iterable[str]) -> str:
    """Return the end of a message on a wrong word: the nearest known one, empty where none is."""
    near = near_word(word, known)
    return f"; did you mean {near!r}?" if near else ""


_MOST_NAMES = 2_000
"""Most names of a folder that are looked through for a near one."""


def unread_reason(error: BaseException) -> str:
    """Return why a file cannot be read, in the system's words or our own."""
    if isinstance(error, UnicodeDecodeError):
        return "it is not UTF-8 text"
    return getattr(error, "strerror", None) or str(error)


def near_file(path: str | PathLike[str], error: BaseException) -> str:
    """Return a question with a file of nearly that name in the same folder, empty without one.

    Only for a file that is not there; one with another suffix is near too.
    """
    if not isinstance(error, FileNotFoundError):
        return ""
    wanted = Path(path)
    try:
        names = sorted(each.name for each in islice(wanted.parent.iterdir(), _MOST_NAMES))
    except (OSError, ValueError):
        return ""
    by_letters = {name.casefold(): name for name in names if not name.startswith(".")}
    same_stem = (each for each, name in by_letters.items() if Path(name).stem == wanted.name)
    near = near_word(wanted.name.casefold(), by_letters, 0.7)
    if near and not near_word(wanted.stem.casefold(), [Path(near).stem], 0.5):
        near = ""  # only the suffix is alike
    near = near or next(same_stem, "")
    return f"did you mean {wanted.parent / by_letters[near]}?" if near else ""


def cannot_read(what: str, path: str | PathLike[str], error: BaseException) -> str:
    """Return the message of a file that cannot be read, with a near name where there is one."""
    why = f"cannot read {what}{path}: {unread_reason(error)}"
    return "; ".join(filter(None, (why, near_file(path, error))))


def check_types(**values: tuple[Any, ...]) -> None:
    """Raise unless every value is of a type that is allowed for it.

    Each keyword is a name and a tuple: the value, then the allowed types, ``None`` for none.
    A bool is no number here.

    Raises
    ------
    WrongTypeError
        With the name, the allowed types and the value.

    Examples
    --------
    >>> check_types(depth=(2, int), line=(None, int, None))
    """
    for name, (value, *allowed) in values.items():
        types = tuple(type(None) if each is None else each for each in allowed)
        if isinstance(value, bool) and bool not in types:
            types = tuple(each for each in types if each not in (int, float))
        if not isinstance(value, types):
            words = [str(None) if each is None else each.__name__ for each in allowed]
            raise WrongTypeError(f"{name} must be {' or '.join(words)}, got {value!r}")


def check_file(name: str, file: Any, method: str) -> Any:
    """Return a file object that has ``method`` (``read`` or ``write``), or raise.

    Raises
    ------
    WrongTypeError
        For anything that is neither a path nor such a file object.
    """
    if not callable(getattr(file, method, None)):
        raise WrongTypeError(f"{name} must be a path or a file object with {method}, got {file!r}")
    return file
