"""Drives of ratchets and sockets: "3/8 drive" names the tool and is no size of a fastener."""

from __future__ import annotations

from fractions import Fraction

from narrate.core.handoffs import Label
from narrate.read.mentions.found import Found
from narrate.read.mentions.ratings import plain
from narrate.read.mentions.talk import Talk

_DRIVES = frozenset((Fraction(1, 4), Fraction(3, 8), Fraction(1, 2), Fraction(3, 4), Fraction(1)))


def take_drives(talk: Talk, found: list[Found]) -> list[Label]:
    """A label for each drive size; its value is marked gone."""
    out: list[Label] = []
    for one in found:
        if one.gone or not (one.number.has_fraction or one.low == 1) or one.low > 2:
            continue
        if one.said and one.unit != "in":
            continue
        end = talk.shop.lists["drive-words"].starts_at(talk.lows, one.last)
        if (
            end < 0
            and out
            and one.first - out[-1].last <= 8
            and one.low in _DRIVES
            and one.said
            and not talk.low(one.last).endswith("s")
        ):
            end = one.last  # "three eighths drive, don't bother with half inch"
        if end > 0 and not (
            talk.low(one.last) == "drive" and talk.shop.lists["driven"].starts_at(talk.lows, one.last + 1) > 0
        ):
            out.append(Label("drive", f"{plain(one.low)} in", one.first, max(one.last, min(end, one.last + 1))))
            one.gone = True
    return out
