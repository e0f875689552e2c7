"""Names that look like figures, told by the shape of one written token: codes, grades, threads, tyre sizes, dates."""

from __future__ import annotations

import re
from functools import lru_cache

_SHAPES: tuple[tuple[str, re.Pattern[str]], ...] = tuple(
    (kind, re.compile(pattern))
    for kind, pattern in (
        ("dtc", r"[pbcu][0-3o][0-9a-f]{3}(-[0-9a-f]{2})?"),
        (
            "grade",
            r"\d{1,2}w-?\d{2,3}|sae-?\d{2}w?|(dot|gl|pag|iso|vg|poe|ep)-?\d{1,3}(\.\d|\+{1,2})?|(ci|ck|cj|sn|sp|sm|g)-?\d{1,2}(\.\d|\+{1,2})?|dot\d\.\d",
        ),
        (
            "thread",
            r"m\d{1,2}(\.\d+)?[x×]\d+(\.\d+)?(-\d[a-z])?|\d{1,2}[x×]\d\.\d+|\d+/\d+-\d{2}(un[cfr]?|npt)?|#?\d{1,2}-(24|32|40|20)(un[cf])?|\d/\d+npt",
        ),
        (
            "gas",
            r"(r|hfc|hfo|hcfc|cfc)-?(1[1-4]|2[23]|32|50|11[3-5]|12[345]|134|14[23]|152|290|4\d\d|5\d\d|600|717|744|123[34]|1270)(a|b|c|d|f|yf|ze|zd)?|(134|404|407|410|448|449|422|438|507|408|402)[abcd]|1234(yf|ze)",
        ),
        (
            "tire-size",
            r"(lt|p|st)?\d{2,3}/\d{2,3}-?z?[rbd]?\d{2}(\.5)?[a-z]?|\d{1,2}r\d{2}(\.5)?|\d{2}x\d{1,2}(\.\d+)?(r|-)\d{1,2}(lt)?|\d{2,3}/\d{2,3}z?[rb-]?\d{2}",
        ),
        ("star", r"(t|tx|e|tp|ipr)-?([468]|10|1[1246]|15|18|20|24|25|27|30|35|40|45|47|50|55|60|70)"),
        ("clock", r"\d{1,2}:\d{2}(:\d{2})?([ap]\.?m?\.?)?|\d{1,2}([ap]m|[ap]\.m\.)"),
        ("date", r"\d{1,2}[-/.]\d{1,2}[-/.](\d{4}|\d{2})|(19|20)\d{2}[-/.]\d{1,2}[-/.]\d{1,2}"),
        ("year", r"'\d{2}|my\d{2}"),
        ("phone", r"\d{3}-\d{4}|\d{3}[-.]\d{3}[-.]\d{4}|1-\d{3}-\d{3}-\d{4}"),
    )
)
_NAME = re.compile(r"(?=[a-z0-9./-]*\d)(?=[a-z0-9./-]*[a-z])[a-z0-9][a-z0-9./-]*|\d+(-\d+){1,4}[a-z0-9-]*")
# letters and figures as suppliers print them: two to five letters and three figures or more, or groups with hyphens
_PART = re.compile(
    r"[a-z]{1,5}-?\d{3,}[a-z]{0,3}(-[a-z0-9]+)*|[a-z]{1,4}-\d{2,}[a-z0-9]*(-[a-z0-9]+)+|\d{5}-[a-z0-9]{5}|\d{2,}-[a-z]?\d{3,}[a-z0-9-]*|\d[a-z0-9]{2,4}-[a-z0-9]{4,6}(-[a-z0-9]{1,3})?|\d{3,}[a-z]{1,3}\d*"
)
_VIN = re.compile(r"(?=.*\d)[a-hj-npr-z0-9]{17}")


@lru_cache(maxsize=16384)
def shape_of(low: str) -> str:
    """The kind of name that the token is by its looks; "" for none. "code" is any other mix of letters and figures."""
    if not 2 <= len(low) <= 40 or low.isalpha():
        return ""
    for kind, pattern in _SHAPES:
        if pattern.fullmatch(low):
            return kind
    if _VIN.fullmatch(low):
        return "vin"
    if _PART.fullmatch(low):
        return "part-number"
    if _NAME.fullmatch(low):
        return "code"
    return ""
