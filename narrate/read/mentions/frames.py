"""Frames of words that tell a bare value's unit: "torqued to 80", "10.9 at the little wire"."""

from __future__ import annotations

from narrate.read.mentions.found import Found
from narrate.read.mentions.shop import Framing
from narrate.read.mentions.talk import Talk


def frames_beside(talk: Talk, one: Found, edge: int) -> list[Framing]:
    """The frames that could stand here, told by the words next to the value alone."""
    shop = talk.shop
    out = [*shop.frames_before.get(talk.low(one.first - 1), ()), *shop.frames_after.get(talk.low(one.last), ())]
    if edge != one.first:
        out += shop.frames_before.get(talk.low(edge - 1), ())
    return out


def framed(talk: Talk, one: Found, edge: int, framing: Framing) -> bool:
    """Whether the frame's words stand beside the value, and the value can be such a one."""
    frame, lows = framing.frame, talk.lows
    if not framing.least <= float(one.low) or not float(one.high) <= framing.most:
        return False
    if frame.decimal and not one.number.decimals:
        return False
    if one.number.has_fraction and not frame.parts:
        return False
    before = bool(frame.before) and any(framing.before.ends_at(lows, k) >= 0 for k in {edge, one.first})
    if frame.both and not before:
        return False
    end = framing.after.starts_at(lows, one.last) if frame.after else -1
    if frame.both:
        return end > 0
    if before and (frame.after or not frame.near):
        return True
    if not before and (end < 0 or (frame.never and talk.low(end) in frame.never)):
        return False
    if not frame.near:
        return True
    near = framing.near
    window = range(max(0, one.first - frame.reach), min(len(lows), one.last + min(frame.reach, 16)))
    return any(lows[j] in near for j in window)
