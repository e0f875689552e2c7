"""Our reading of quantities beside quantulum3's, on the phrases of tests/read/phrases.yaml: run by hand.

    pip install '.[peers]'
    python tests/bench/peers.py [ROUNDS]

Each reader runs in a process of its own: how long until its first answer, how many phrases a second after that, the
most memory held, and precision, recall and F1. Strict: every quantity with its unit in full, and nothing else.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import time
from fractions import Fraction
from importlib.metadata import version
from pathlib import Path

import yaml

from narrate.core.units import convert, known, same_dimension

PHRASES = Path(__file__).parents[1] / "read" / "phrases.yaml"
ROUNDS = 20
# quantulum3's names of units -> our codes; a count of things is "dimensionless" to it
NAMES = {
    "dimensionless": "each", "quart": "qt", "cup": "cup", "mile": "mi", "kilometre": "km", "inch": "in", "millimetre": "mm",
    "inch of mercury": "inHg", "ounce": "oz", "fluid ounce": "floz", "pound-mass": "lb", "minute": "min", "hour": "h",
    "second": "s", "volt": "V", "ampere": "A", "milliampere": "mA", "kiloohm": "kohm", "kilohm": "kohm", "ohm": "ohm",
    "percentage": "%", "degree fahrenheit": "degF", "degree celsius": "degC", "degree angle": "deg",
    "pound-force per square inch": "psi", "pound per square inch": "psi", "bar": "bar", "newton metre": "Nm",
    "foot pound-mass": "ftlb", "foot pound-force": "ftlb", "inch pound-mass": "inlb", "revolutions per minute": "rpm",
    "revolution per minute": "rpm", "micrometre": "micron", "turn": "turns", "thou": "thou", "mil": "thou",
}  # fmt: skip


def ours(text: str) -> list[tuple[float, float, str]]:
    from narrate.pipeline import read_measures

    return [
        (float(m.low), float(m.high), m.unit)
        for m in read_measures(text)
        if getattr(m, "state", None) != "retracted" and m.low is not None
    ]


def theirs(text: str) -> list[tuple[float, float, str]]:
    from quantulum3 import parser

    out = []
    for q in parser.parse(text):
        spread = q.uncertainty or 0.0
        out.append((q.value - spread, q.value + spread, NAMES.get(q.unit.name, q.unit.name)))
    return out


READERS = {"narrate": ours, "quantulum3": theirs}


def child(name: str, rounds: int) -> None:
    """Run one reader and print what it gave."""
    phrases, read = yaml.safe_load(PHRASES.read_text(encoding="utf-8")), READERS[name]
    began = time.perf_counter()
    read(phrases[0]["text"])
    start = time.perf_counter() - began
    got = [read(p["text"]) for p in phrases]
    began = time.perf_counter()
    for _ in range(rounds):
        for phrase in phrases:
            read(phrase["text"])
    rate = rounds * len(phrases) / (time.perf_counter() - began)
    held = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps({"got": got, "start": start, "rate": rate, "held": held}))


def same(wanted: dict, got: list) -> bool:
    low, high, unit = wanted.get("low", wanted.get("value")), wanted.get("high", wanted.get("value")), wanted["unit"]
    if not known(got[2]) or not same_dimension(got[2], unit) or (unit == "thou") != (got[2] in ("thou", "mil")):
        return False
    ends = [float(convert(Fraction(str(end)), got[2], unit)) for end in got[:2]]
    if unit == "inHg":
        ends, low, high = sorted(abs(e) for e in ends), *sorted((abs(low), abs(high)))
    return all(abs(a - b) <= 1e-4 * max(abs(a), abs(b), 1e-9) for a, b in zip(ends, (low, high), strict=True))


def score(phrases: list[dict], answers: list[list]) -> tuple[float, float, float]:
    """Precision, recall and F1; each answer meets one quantity at most."""
    right = said = wanted = 0
    for phrase, answer in zip(phrases, answers, strict=True):
        left = list(answer)
        said, wanted = said + len(left), wanted + len(phrase["expect"])
        for one in phrase["expect"]:
            hit = next((g for g in left if same(one, g)), None)
            if hit is not None:
                left.remove(hit)
                right += 1
    precision, recall = right / (said or 1), right / (wanted or 1)
    return precision, recall, 2 * precision * recall / ((precision + recall) or 1)


def main() -> None:
    if len(sys.argv) > 2 and sys.argv[1] == "--reader":
        child(sys.argv[2], int(sys.argv[3]))
        return
    rounds = sys.argv[1] if len(sys.argv) > 1 else str(ROUNDS)
    phrases = yaml.safe_load(PHRASES.read_text(encoding="utf-8"))
    print(f"{len(phrases)} phrases\n| reader | precision | recall | F1 | phrases/s | first answer | memory |")
    print("|---|---|---|---|---|---|---|")
    for name in READERS:
        call = [sys.executable, "-W", "ignore", __file__, "--reader", name, rounds]
        told = json.loads(subprocess.run(call, check=True, capture_output=True, text=True).stdout.splitlines()[-1])
        precision, recall, f1 = score(phrases, told["got"])
        print(
            f"| {name} {version(name)} | {precision:.2f} | {recall:.2f} | {f1:.2f} | {told['rate']:,.0f} "
            f"| {told['start']:.1f} s | {told['held']:.0f} MB |"
        )


if __name__ == "__main__":
    main()
