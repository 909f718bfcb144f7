"""What a job is, what comes of one, and how its files are remembered."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol


class Job(Protocol):
    """Work that makes some files; it must survive pickling, because any process may do it."""

    @property
    def outputs(self) -> tuple[str, ...]:
        """Names of the files to be, below the output folder."""

    def run(self, parts: Sequence[Path]) -> Any:
        """Write every output to the path at its place in ``parts`` (same suffix).

        Whatever is returned (it must survive pickling) reaches :data:`Describe` as ``returned``.
        """


@dataclass(frozen=True, slots=True)
class Origin:
    """What a file was made from: the digest of all its inputs, and the same in words."""

    digest: str
    made_from: Mapping[str, str] = field(default_factory=dict)


Describe = Callable[[Any, str, Any], Origin]
"""Returns the origin of an output: of a job, the output's name, and what the job returned."""


@dataclass(frozen=True, slots=True)
class Failure:
    """One thing that could not be made, by the name of its file, and why."""

    file: str
    message: str


@dataclass(frozen=True, slots=True)
class Result:
    """What came of running a job: a content hash for each output, or ``error`` and no files.

    ``returned`` is what the job returned, ``work_s`` the time it took, ``peak_bytes`` the memory of
    its process at the highest.
    """

    sha256s: tuple[str, ...] = ()
    returned: Any = None
    work_s: float = 0.0
    peak_bytes: int = 0
    error: str = ""
