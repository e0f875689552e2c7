"""A shop's standing settings: narrate.toml, found upwards from the notes, and what a call says over it.

    lexicon = ["shop-words"]          # folders laid over our lexicon, the later over the earlier
    trade = "light-vehicle"           # whose words and steps count; left away, it is told from the notes
    altitude_m = 1609                 # or altitude_ft, or barometer_inhg, or barometer_hpa: how deep a vacuum can be
    rules = ["us-ca-air-conditioning"]    # rule packs that every sheet is held to
    spec = ["limits/fleet.yaml"]      # specification files

    [answers]                         # steps that the shop answers once and for all
    ac-cert = "everybody here holds a section 609 certificate"

    [levels]                          # steps, or job.step: must, should or off
    wheel-recheck = "off"
    "brake-disc.runout" = "must"

Paths count from the file's own folder. Other tables ([book], [audit] ...) belong to those who read them: `tables`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from narrate.core.findings import NarrateError

FILE = "narrate.toml"
LEVELS = ("must", "should", "off")
_AIR = ("altitude_m", "altitude_ft", "barometer_inhg", "barometer_hpa")
_KEYS = ("lexicon", "trade", *_AIR, "rules", "spec", "answers", "levels")
_MOST_BYTES = 1_000_000


@dataclass(frozen=True)
class Settings:
    """What a call of the program is to heed beyond the words. `air_pa` is the air pressure at the site, in pascals."""

    lexicon: tuple[Path, ...] = ()
    trade: str | None = None
    air_pa: Fraction | None = None
    air_by: str = ""  # what said so: "altitude_m = 1609 in /shop/narrate.toml"
    rules: tuple[str, ...] = ()
    spec: tuple[Path, ...] = ()
    answers: Mapping[str, str] = field(default_factory=dict)
    levels: Mapping[str, str] = field(default_factory=dict)
    tables: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    path: Path | None = None

    def over(
        self,
        *,
        lexicon: tuple[Path, ...] = (),
        spec: tuple[Path, ...] = (),
        rules: tuple[str, ...] = (),
        trade: str | None = None,
    ) -> Settings:
        """These settings with what a call adds: its folders on top, its files and packs besides, its trade."""
        return replace(
            self,
            lexicon=(*self.lexicon, *lexicon),
            spec=(*self.spec, *spec),
            rules=tuple(dict.fromkeys((*self.rules, *rules))),
            trade=trade or self.trade,
        )


def find_settings(start: Path) -> Settings:
    """The settings of the nearest narrate.toml, looked for from a file or folder upwards; none, where there is none."""
    place = start.absolute()
    for folder in (place, *place.parents):
        try:
            found = (folder / FILE).is_file()
        except OSError:  # a folder that may not be looked into
            continue
        if found:
            return read_settings(folder / FILE)
    return Settings()


def read_settings(path: Path) -> Settings:
    """One settings file. NarrateError names the key that cannot be used, and the way out."""
    said = _load(path)
    tables = {key: value for key, value in said.items() if isinstance(value, dict) and key not in ("answers", "levels")}
    for key in said.keys() - tables.keys():
        if key not in _KEYS:
            from difflib import get_close_matches

            near = get_close_matches(key, _KEYS, n=1)
            raise NarrateError(
                f"the key “{key}” is not known.",
                where=str(path),
                remedy=f"Did you mean “{near[0]}”?" if near else f"Known are {', '.join(_KEYS)}.",
            )
    folder = path.absolute().parent
    air, air_by = _air(said, path)
    return Settings(
        lexicon=tuple(folder / p for p in _texts(said, "lexicon", path)),
        trade=_text(said, "trade", path),
        air_pa=air,
        air_by=air_by,
        rules=_texts(said, "rules", path),
        spec=tuple(folder / p for p in _texts(said, "spec", path)),
        answers=_named(said, "answers", path),
        levels=_levels(said, path),
        tables=tables,
        path=path,
    )


def _load(path: Path) -> dict[str, Any]:
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise NarrateError(
                f"has more than {_MOST_BYTES:,} bytes.", where=str(path), remedy="Settings are a few lines."
            )
        with path.open("rb") as file:
            return tomllib.load(file)
    except tomllib.TOMLDecodeError as error:
        raise NarrateError(
            f"cannot be read: {error}.", where=str(path), remedy='Write name = "words" on each line.'
        ) from None
    except UnicodeDecodeError:
        raise NarrateError("is not UTF-8 text.", where=str(path), remedy="Save it as UTF-8.") from None
    except OSError as error:
        raise NarrateError(
            f"cannot be read ({error.strerror}).", where=str(path), remedy="Look to its permissions."
        ) from None


def _wrong(path: Path, key: str, wants: str) -> NarrateError:
    return NarrateError(f"{key} wants {wants}.", where=str(path), remedy="See the lexicon's guide, “Settings”.")


def _text(said: Mapping[str, Any], key: str, path: Path) -> str | None:
    value = said.get(key)
    if value is not None and not (isinstance(value, str) and value.strip()):
        raise _wrong(path, key, 'words in quotes, such as "light-vehicle"')
    return value


def _texts(said: Mapping[str, Any], key: str, path: Path) -> tuple[str, ...]:
    """A list of words; one of them may stand by itself."""
    value = said.get(key, [])
    items = [value] if isinstance(value, str) else value
    if not isinstance(items, list) or not all(isinstance(item, str) and item.strip() for item in items):
        raise _wrong(path, key, 'a list of words, such as ["one", "two"]')
    return tuple(items)


def _named(said: Mapping[str, Any], key: str, path: Path) -> dict[str, str]:
    value = said.get(key, {})
    if not isinstance(value, dict) or not all(isinstance(words, str) and words.strip() for words in value.values()):
        raise _wrong(path, f"[{key}]", 'a line for each step: step = "words"')
    return dict(value)


def _levels(said: Mapping[str, Any], path: Path) -> dict[str, str]:
    levels = _named(said, "levels", path)
    for step, level in levels.items():
        if level not in LEVELS:
            raise _wrong(path, f"[levels] {step}", f"one of {', '.join(LEVELS)}, and is “{level}”")
    return levels


def _air(said: Mapping[str, Any], path: Path) -> tuple[Fraction | None, str]:
    """The air pressure at the site, and what said so."""
    given = [key for key in _AIR if key in said]
    if not given:
        return None, ""
    if len(given) > 1:
        raise _wrong(path, " and ".join(given), "one of them only: the air pressure follows from either")
    key, value = given[0], said[given[0]]
    most = 11_000 if key == "altitude_m" else 36_000
    if isinstance(value, bool) or not isinstance(value, int | float) or not -1500 <= value <= most:
        raise _wrong(path, key, "a plain number")
    number = Fraction(str(value))
    pressure = {
        "altitude_m": lambda: standard_air(float(number)),
        "altitude_ft": lambda: standard_air(float(number * Fraction(3048, 10000))),
        "barometer_inhg": lambda: _pascals(number),
        "barometer_hpa": lambda: number * 100,
    }[key]()
    if not 20_000 <= pressure <= 115_000:
        raise _wrong(path, key, "a pressure or an altitude at which people work")
    return pressure, f"{key} = {value} in {path}"


def _pascals(inhg: Fraction) -> Fraction:
    from narrate.core.units import convert

    return convert(inhg, "inHg", "kPa") * 1000


def standard_air(altitude_m: float) -> Fraction:
    """The air pressure in pascals at an altitude in metres, up to 11 km: U.S. Standard Atmosphere 1976.

    p = 101325 Pa (1 - 0.0065 K/m h / 288.15 K) ** 5.255876, the exponent being g M / (R L) of that standard, and h the
    geopotential altitude (which differs from the geometric one by less than 0.1 % where people work).
    """
    return Fraction(101325 * (1 - 0.0065 * altitude_m / 288.15) ** 5.255876).limit_denominator(1000)
