"""The hand: its limits and what each kind of work costs it, with profiles a player can write.

A hand profile (``--ease FILE``) is TOML; what it leaves out keeps its default::

    [limits]
    max_stretch = 2        # frets between the lowest and the highest finger
    max_fret    = 9
    barre       = false    # no finger lies across strings
    fingers     = 3
    region      = [2, 7]   # favourite frets
    pace        = 1.5      # takes half as long again for a change as a practised hand

    [shapes]
    known = ["5433", "0003"]   # grips of shapes the player has, anywhere on the neck
    new   = 2                  # at most so many others in one tune

    [weights]
    stretch = 2.0          # any name of Weights

No published source gives such weights; these are ours, and ``tests/bench/grips_weights.py``
shows how far they may be wrong before the trade's own answers change.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any

from porchswing.chart.limits import MAX_FRET
from porchswing.chart.model import Frets
from porchswing.errors import GripError, cannot_read
from porchswing.toml_table import TomlTable, near_or_all, toml_values

MAX_NEW = 50
"""Most new shapes that a profile may name as a limit."""

MAX_STRETCH = 9
"""Widest grip in frets that may be asked for."""

MAX_WEIGHT = 100.0
"""Largest weight a profile may give."""


@dataclass(frozen=True, slots=True)
class Weights:
    """What each kind of work costs, in one arbitrary unit; 0 switches a kind off.

    Attributes
    ----------
    semitone
        Each semitone that each string's note moves (voice-leading size, Tymoczko's taxicab).
    shift
        Each fret the whole hand shifts along the neck (Radicioni & Lombardo's repositioning).
    finger_placed
        Each finger put down anew; fingers that stay or slide are not.
    finger_slid
        Each finger that slides along its string while the shape around it changes.
    finger_swapped
        Each string that keeps its fret and changes its finger.
    slide
        A whole shape sliding to another fret.
    finger
        Each finger of a grip (for beginners).
    third_finger
        The third finger of a grip; the fourth costs twice as much on top of it.
    awkward
        Twenty points of what is awkward in a fingering (the table in ``shapes/fingers.py``).
    stretch
        Each fret of a grip's stretch beyond two.
    away
        Each fret a grip lies outside the favourite region.
    no_root, no_fifth
        A tone left out.
    muted
        Each string muted that the tuning lets grips use.
    no_open
        A grip without an open string (for those who play by the nut).
    root_bass
        By the nut on five strings and more, a grip whose lowest note is not its root.
    unison
        Two neighbouring strings that sound one note, so that one of them is wasted.
    wrong_bass
        A slash chord whose bass is not the lowest note, on tunings where a bass is heard.
    same_grip
        The chord changes but the grip does not, so nobody hears the change.
    unpaired
        In a progression heard again transposed, a chord whose shape is not the one it had
        before, shifted as the roots are.
    line_broken
        A change in which the line does not move by step.
    line_held, line_tone
        A change in which the line stays on its note; in which it steps a whole tone.
    line_new
        The line goes over to another string or turns round.
    line_asked
        How many times more a line counts where the player asked for it.
    """

    semitone: float = 0.25
    shift: float = 0.5
    finger_placed: float = 0.5
    finger_slid: float = 0.25
    finger_swapped: float = 0.5
    slide: float = 0.25
    finger: float = 0.0
    third_finger: float = 1.0
    awkward: float = 1.0
    stretch: float = 1.5
    away: float = 1.0
    no_root: float = 0.25
    no_fifth: float = 0.5
    muted: float = 1.0
    no_open: float = 0.0
    root_bass: float = 0.0
    unison: float = 0.0
    wrong_bass: float = 5.0
    same_grip: float = 5.0
    unpaired: float = 3.0
    line_broken: float = 1.5
    line_held: float = 0.75
    line_tone: float = 0.25
    line_new: float = 1.0
    line_asked: float = 4.0


@dataclass(frozen=True, slots=True)
class KnownShape:
    """A shape a player knows: its frets, and its fingers where they are given."""

    frets: Frets
    fingers: tuple[int, ...] = ()
    is_movable: bool = True

    def __str__(self) -> str:
        """Return the frets as from fret 1, or as they are."""
        up = 1 if self.is_movable else 0
        return "".join("x" if here is None else str(here + up) for here in self.frets)


@dataclass(frozen=True, slots=True)
class Hand:
    """What a hand can do and likes: limits in frets and fingers, ``region`` and weights.

    ``pace`` scales the time it needs for a change: 2 takes twice as long. ``known`` are the
    shapes it has learned, ``new`` how many others it may meet in one tune (None: any number).
    """

    name: str = "closed"
    max_stretch: int = 3
    max_fret: int = 12
    barre: bool = True
    fingers: int = 4
    region: tuple[int, int] = (2, 9)
    weights: Weights = Weights()
    pace: float = 1.0
    known: tuple[KnownShape, ...] = ()
    new: int | None = None

    def __post_init__(self) -> None:
        """Check each limit once."""
        for name, (low, high) in _RANGES.items():
            value = getattr(self, name)
            if not low <= value <= high:
                raise GripError(f"{name} must be {low} to {high}, got {value}")
        if self.new is not None and not 0 <= self.new <= MAX_NEW:
            raise GripError(f"new must be 0 to {MAX_NEW}, got {self.new}")
        if not 0 <= self.region[0] <= self.region[1]:
            raise GripError(f"region must be two rising frets, got {list(self.region)}")
        for weight in fields(Weights):
            value = getattr(self.weights, weight.name)
            if not 0 <= value <= MAX_WEIGHT:
                raise GripError(f"weight {weight.name} must be 0 to {MAX_WEIGHT}, got {value}")

    def within(self, max_fret: int | None = None, max_stretch: int | None = None) -> Hand:
        """Return the hand with other limits where they are given."""
        return replace(
            self,
            max_fret=self.max_fret if max_fret is None else max_fret,
            max_stretch=self.max_stretch if max_stretch is None else max_stretch,
        )


_RANGES = {
    "max_stretch": (1, MAX_STRETCH),
    "max_fret": (1, MAX_FRET),
    "fingers": (1, 4),
    "pace": (0.2, 5),
}

CLOSED_HAND = Hand()
"""A player of closed grips: the middle of the neck, shapes that slide, lines that lead."""

OPEN_HAND = Hand(
    name="open",
    region=(0, 3),
    weights=Weights(
        semitone=0.05,
        finger_placed=0.25,
        finger=0.75,
        no_open=1.0,
        away=2.0,
        stretch=2.0,
        no_fifth=3.0,
        muted=1.5,
        root_bass=4.0,
        unison=2.5,
        unpaired=0,
        line_broken=0,
        line_held=0,
        line_tone=0,
        line_new=0,
    ),
)
"""A beginner by the nut: few fingers, no lines."""


@dataclass(frozen=True, slots=True)
class Ease:
    """A hand profile: what a player changes of a hand, whichever grips it plays."""

    name: str = ""
    limits: tuple[tuple[str, Any], ...] = ()
    weights: tuple[tuple[str, float], ...] = ()

    def over(self, hand: Hand) -> Hand:
        """Return a hand with this profile's limits and weights in place of its own."""
        weights = replace(hand.weights, **dict(self.weights))
        return replace(hand, name=self.name or hand.name, weights=weights, **dict(self.limits))


EASES: dict[str, Ease] = {
    "small": Ease("small", (("max_stretch", 2),), (("stretch", 2.5),)),
    "no-barre": Ease("no-barre", (("barre", False),)),
}
"""Profiles by name."""


def read_ease(text: str, source: str = "hand profile") -> Ease:
    r"""Read a profile from TOML text.

    Raises
    ------
    GripError
        Naming the source and the key path of what is wrong.

    >>> read_ease("[limits]\nbarre = false").over(CLOSED_HAND).barre
    False
    """
    top = TomlTable(source, toml_values(text, source, GripError), GripError)
    top.allow_only(("name", "limits", "shapes", "weights"))
    limits = {**_limits(top.table("limits")), **_shapes(top.table("shapes"))}
    given = top.table("weights")
    given.allow_only(weight.name for weight in fields(Weights))
    weights = {name: given.number(name, 0, MAX_WEIGHT) for name in given.values}
    ease = Ease(
        top.text("name") if "name" in top.values else "",
        tuple(limits.items()),
        tuple(weights.items()),
    )
    try:
        ease.over(CLOSED_HAND)
    except GripError as error:
        raise GripError(f"{source}: {error}") from error
    return ease


MAX_PROFILE_BYTES = 100_000
"""Longest hand profile that is read, in bytes; far longer than any."""


def load_ease(name_or_path: str) -> Ease:
    """Return a named profile, or read one from a TOML file."""
    if name_or_path in EASES:
        return EASES[name_or_path]
    try:
        with Path(name_or_path).open("rb") as stream:
            raw = stream.read(MAX_PROFILE_BYTES + 1)
        if len(raw) > MAX_PROFILE_BYTES:
            raise ValueError(f"it has more than {MAX_PROFILE_BYTES:,} bytes")
        text = raw.decode("utf-8")
    except (OSError, ValueError) as error:  # text that is no UTF-8, a name that is no path
        message = cannot_read("the hand profile ", name_or_path, error)
        raise GripError(f"{message}; {near_or_all(name_or_path, EASES)}") from error
    return read_ease(text, name_or_path)


def _limits(table: TomlTable) -> dict[str, Any]:
    """Return the limits that a profile states, each of its kind and in its range."""
    table.allow_only((*_RANGES, "barre", "region"))
    found: dict[str, Any] = {}
    for name in table.values:
        if name == "barre":
            found[name] = table.flag(name)
        elif name == "region":
            frets = table.items(name)
            if len(frets) != 2 or not all(type(fret) is int for fret in frets):
                table.fail(name, f"must be two frets, got {frets!r}")
            found[name] = tuple(frets)
        else:
            whole = isinstance(getattr(CLOSED_HAND, name), int)
            found[name] = table.number(name, *_RANGES[name], whole=whole)
    return found


def _shapes(table: TomlTable) -> dict[str, Any]:
    """Return the known shapes of a profile, and how many new ones it allows."""
    table.allow_only(("known", "new"))
    found: dict[str, Any] = {}
    if "new" in table.values:
        found["new"] = table.number("new", 0, MAX_NEW, whole=True)
    shapes = []
    for text in table.items("known") if "known" in table.values else ():
        try:
            shapes.append(read_known_shape(str(text)))
        except GripError as error:
            table.fail("known", str(error))
    return {**found, "known": tuple(shapes)} if shapes else found


def read_known_shape(text: str) -> KnownShape:
    """Return a shape from frets anywhere on the neck, with fingers after them where they matter.

    >>> str(read_known_shape("5433")), str(read_known_shape("0003"))
    ('3211', '0003')
    >>> read_known_shape("5433 3211").fingers
    (3, 2, 1, 1)
    """
    words = text.split()
    marks = words[0].split("-") if words and "-" in words[0] else list(words[0] if words else "")
    try:
        frets = tuple(None if mark in ("x", "X") else int(mark) for mark in marks)
        fingers = tuple(int(mark) for mark in (words[1] if len(words) > 1 else ""))
    except ValueError:
        frets, fingers = (), (0,)
    sounding = [fret for fret in frets if fret is not None]
    if not sounding or len(words) > 2 or (fingers and len(fingers) != len(frets)):
        raise GripError(
            f"a known shape is one fret a string, such as 5433 or 10-9-8-8, and may be followed "
            f"by one finger a string, such as 5433 3211; got {text!r}"
        )
    low = min(sounding)
    if low == 0:
        return KnownShape(frets, fingers, is_movable=False)
    return KnownShape(tuple(None if f is None else f - low for f in frets), fingers)
