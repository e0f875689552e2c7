"""Time codes of captions and transcripts -> seconds, and back to words for a notice.

Lenient in what is left out (hours, leading zeros, the fraction) and in `.` or `,` before it; strict in what it means:
minutes and seconds end at 59, so `60:00.000` is no time at all and not one hour (WebVTT, 4.1), and `01:05,000` is one
minute five.
"""

from __future__ import annotations

import re

STAMP = r"\d{1,4}:\d{1,2}(?::\d{1,2})?(?:[.,]\d{1,9})?"  # m:ss, mm:ss.mmm, h:mm:ss, hhh:mm:ss,mmm
_PARTS = re.compile(r"(?:(\d{1,4}):)?(\d{1,4}):(\d{1,2})(?:[.,:;](\d{1,9}))?$")


def seconds_of(stamp: str, minutes_over: bool = False) -> float | None:
    """Seconds from the start, or None where it is no time code.

    A fourth field (`01:02:03:12`) counts frames and is left out, since their rate is not known. `minutes_over` lets
    minutes pass 59 where no hours stand before them, as transcripts write (`75:40`).
    """
    stamp = stamp.strip()
    frames = stamp.count(":") == 3 or ";" in stamp
    found = _PARTS.match(stamp)
    if not found:
        return None
    hours, minutes, seconds = int(found[1] or 0), int(found[2]), int(found[3])
    if seconds > 59 or (minutes > 59 and (found[1] is not None or not minutes_over)):
        return None
    fraction = 0.0 if frames or not found[4] else int(found[4]) / 10 ** len(found[4])
    return round(hours * 3600 + minutes * 60 + seconds + fraction, 3)


def say_time(seconds: float) -> str:
    """`0:01:05`: hours, minutes and whole seconds, as a notice shows them."""
    whole = int(seconds)
    return f"{whole // 3600}:{whole // 60 % 60:02}:{whole % 60:02}"
