"""The options by which a call brings a shop's own words, limits and rules, over what its narrate.toml says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache, wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from narrate.core.settings import Settings

F = TypeVar("F", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class Shop:
    """What a call says; `settings` puts it over the narrate.toml that is found upwards from the notes."""

    lexicon: tuple[Path, ...] = ()
    spec: tuple[Path, ...] = ()
    rules: tuple[str, ...] = ()
    trade: str | None = None

    def settings(self, notes: Path | None = None) -> Settings:
        """The settings for some notes; those from standard input belong to the folder that the call is made in."""
        folder = notes.parent if notes is not None else Path()
        return _found(str(folder.absolute())).over(
            lexicon=self.lexicon, spec=self.spec, rules=self.rules, trade=self.trade
        )

    def check(self, trade: str | None = None, notes: Path | None = None) -> None:
        """Refuse folders, files and packs that cannot be used, once and before any work. NarrateError says which.

        `notes` are the first that the call names: their narrate.toml counts.
        """
        from narrate.core.lexicon.rules import read_pack
        from narrate.pipeline import load_trade, spec_of
        from narrate.read.trade import DEFAULT_TRADE

        heed = self.settings(notes)
        said = trade or heed.trade
        if not (said or heed.lexicon or heed.spec or heed.rules):
            return
        lexicon = load_trade(said or DEFAULT_TRADE, heed.lexicon)
        for path in heed.spec:
            spec_of(path, lexicon)
        for name in heed.rules:
            read_pack(name, heed.lexicon)


@lru_cache(maxsize=64)
def _found(folder: str) -> Settings:
    from narrate.core.settings import find_settings

    return find_settings(Path(folder))


def shop_options(command: F) -> F:
    """`--lexicon`, `--spec` and `--rules` for a command, which gets them as one `shop`."""

    @wraps(command)
    def called(*args: Any, lexicon: tuple[str, ...], spec: tuple[str, ...], rules: tuple[str, ...], **rest: Any) -> Any:
        shop = Shop(tuple(map(Path, lexicon)), tuple(map(Path, spec)), rules)
        return command(*args, shop=shop, **rest)

    for option in (
        click.option(
            "--rules", multiple=True, metavar="PACK",
            help="Hold the sheet to a rule pack too; “narrate lexicon rules” lists them. May be given more than once.",
        ),
        spec_option,
        lexicon_option,
    ):  # fmt: skip
        called = option(called)
    return called  # type: ignore[return-value]


def spec_option(command: F) -> F:
    """`--spec` for a command."""
    return click.option(
        "--spec", multiple=True, metavar="FILE",
        help="A specification file: limits for a vehicle or job, and who set them. May be given more than once.",
    )(command)  # fmt: skip


def lexicon_option(command: F) -> F:
    """`--lexicon` for a command."""
    return click.option(
        "--lexicon", multiple=True, metavar="DIR",
        help="A folder of the shop's own words, parts and job types, laid over ours. May be given more than once; "
        "narrate.toml, looked for from the notes upwards, can name some too.",
    )(command)  # fmt: skip
