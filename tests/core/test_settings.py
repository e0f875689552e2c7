"""A shop's settings: found upwards from the notes, read key by key, and refused with the key and the way out."""

from __future__ import annotations

from pathlib import Path

import pytest

from narrate.core.findings import NarrateError
from narrate.core.settings import Settings, find_settings, read_settings, standard_air

WHOLE = """
lexicon = ["words", "more/words"]
trade = "motorcycle"
altitude_m = 1609
rules = ["us-ca-air-conditioning"]
spec = "limits.yaml"

[answers]
ac-cert = "everybody is certified"

[levels]
wheel-recheck = "off"
"brake-disc.runout" = "must"

[book]
url = "shop.sqlite"
"""


def written(folder: Path, text: str) -> Path:
    path = folder / "narrate.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_every_key_is_read_and_paths_count_from_the_file(tmp_path: Path) -> None:
    settings = read_settings(written(tmp_path, WHOLE))
    assert settings.lexicon == (tmp_path / "words", tmp_path / "more" / "words")
    assert settings.spec == (tmp_path / "limits.yaml",)
    assert (settings.trade, settings.rules) == ("motorcycle", ("us-ca-air-conditioning",))
    assert settings.answers == {"ac-cert": "everybody is certified"}
    assert settings.levels == {"wheel-recheck": "off", "brake-disc.runout": "must"}
    assert settings.tables == {"book": {"url": "shop.sqlite"}}
    assert "altitude_m = 1609" in settings.air_by


def test_the_nearest_file_upwards_counts(tmp_path: Path) -> None:
    written(tmp_path, 'trade = "motorcycle"\n')
    near = tmp_path / "bay" / "monday"
    near.mkdir(parents=True)
    assert find_settings(near / "notes.txt").trade == "motorcycle"
    written(tmp_path / "bay", 'trade = "refrigeration"\n')
    assert find_settings(near).trade == "refrigeration"


def test_without_a_file_nothing_is_set(tmp_path: Path) -> None:
    found = find_settings(tmp_path / "notes.txt")
    assert found == Settings() or found.path is not None  # a file above the test's own folder is none of ours


def test_a_call_lies_over_the_file() -> None:
    file = Settings(lexicon=(Path("a"),), rules=("one",), trade="motorcycle")
    both = file.over(lexicon=(Path("b"),), rules=("two", "one"), trade="refrigeration")
    assert (both.lexicon, both.rules, both.trade) == ((Path("a"), Path("b")), ("one", "two"), "refrigeration")
    assert file.over().trade == "motorcycle"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('lexikon = ["a"]', ("“lexikon”", "Did you mean “lexicon”?")),
        ("trade = 3", ("trade wants words",)),
        ("lexicon = [1]", ("lexicon wants a list",)),
        ('trade = ""', ("trade wants words",)),
        ("altitude_m = 'high'", ("altitude_m wants a plain number",)),
        ("altitude_m = true", ("altitude_m wants a plain number",)),
        ("altitude_m = 20000", ("altitude_m wants a plain number",)),
        ("barometer_inhg = 2.9", ("barometer_inhg wants a pressure",)),
        ("altitude_m = 1\nbarometer_hpa = 900", ("one of them only",)),
        ("[levels]\na = 'high'", ("[levels] a", "must, should, off")),
        ("[answers]\na = 1", ("[answers] wants",)),
        ("trade = ", ("cannot be read",)),
    ],
)
def test_a_wrong_key_is_named_with_the_way_out(text: str, words: tuple[str, ...], tmp_path: Path) -> None:
    path = written(tmp_path, text)
    with pytest.raises(NarrateError) as told:
        read_settings(path)
    assert str(path) in told.value.where
    assert told.value.remedy
    for word in words:
        assert word in str(told.value)


# U.S. Standard Atmosphere, 1976 (NOAA, NASA, USAF), table I: hPa at geopotential altitudes in metres; published.
STANDARD = [
    (0, 1013.25),
    (500, 954.61),
    (1000, 898.75),
    (1500, 845.56),
    (2000, 794.95),
    (3000, 701.09),
    (5000, 540.20),
    (10000, 264.36),
]


@pytest.mark.parametrize(("metres", "hpa"), STANDARD)
def test_the_air_at_an_altitude_is_that_of_the_standard_atmosphere(metres: int, hpa: float) -> None:
    assert float(standard_air(metres)) / 100 == pytest.approx(hpa, abs=0.05)


def test_feet_metres_and_barometer_agree(tmp_path: Path) -> None:
    feet = read_settings(written(tmp_path, "altitude_ft = 5280")).air_pa
    metres = read_settings(written(tmp_path, "altitude_m = 1609.344")).air_pa
    assert feet is not None
    assert metres is not None
    assert float(feet) == pytest.approx(float(metres), rel=1e-6)
    inches = read_settings(written(tmp_path, "barometer_inhg = 29.92")).air_pa
    hpa = read_settings(written(tmp_path, "barometer_hpa = 1013.2")).air_pa
    assert inches is not None
    assert hpa is not None
    assert float(inches) == pytest.approx(float(hpa), rel=1e-3)
