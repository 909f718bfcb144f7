"""What every grammar grows with: chances, and what no grammar expects."""

from __future__ import annotations

import random

from splice_fuzz import SALT


class Rng(random.Random):
    """A generator of chances; a tame one never gives what no grammar expects."""

    tame = False


def grower(chance: random.Random) -> Rng:
    rng = Rng(chance.random())
    rng.tame = rng.random() < 0.5
    return rng


def odd(rng: Rng) -> str:
    """Return what no grammar expects: noise, a huge or strange number, a foreign letter."""
    noise = "".join(rng.choice(SALT) for _ in range(rng.randint(1, 8)))
    numbers = ("-1", "0", "1e9", "NaN", "١٢", "9" * rng.choice((3, 30, 400)), "1/0", "½", "0x10")
    words = ("[[[", "é" * 70, "\ufeff", "\u2028", "|:" * 50, "__proto__", "%s%n", "../..", "CON")
    return rng.choice((noise, rng.choice(numbers), rng.choice(words), ""))


def maybe(rng: Rng, text: str, one_in: int = 60) -> str:
    """Return a text, and one time in *one_in* something odd in its place."""
    return text if rng.tame or rng.randrange(one_in) else odd(rng)
