"""The parts, fluids and tools of light vehicles: each entry's own examples, and what must hold of all of them."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from narrate.core.lexicon import schema
from narrate.core.lexicon.lexicon import Lexicon, load_lexicon
from narrate.core.lexicon.load import files_of, lexicon_root, read_model
from narrate.core.tokens import split_words

TRADE = lexicon_root() / "trades" / "light-vehicle"
FITTED = {"part", "fastener", "seal", "consumable", "assembly"}  # what can stand on an invoice


def component_files() -> list[Path]:
    return list(files_of(TRADE, "components"))


def entries() -> list[schema.Thing]:
    files = [read_model(path, schema.ComponentsFile) for path in component_files()]
    return [thing for file in files for thing in file.parts]


def fluids() -> list[schema.Fluid]:
    return list(read_model(TRADE / "fluids.yaml", schema.FluidsFile).fluids)


ENTRIES: list[schema.Thing] = entries()
FLUIDS: list[schema.Fluid] = fluids()
ALL: list[schema.Thing] = [*ENTRIES, *FLUIDS]
EVERYDAY = {
    "break",
    "breaks",
    "die",
    "dryer",
    "hoes",
    "leek",
    "vowel",
    "baring",
    "bold",
    "knot",
    "not",
    "log",
    "pen",
    "rack",
    "slide",
    "pad",
    "casket",
    "trance",
    "transition",
    "deaf",
    "free",
    "on",
    "all",
    "full",
    "what",
    "are",
    "wine",
    "see",
    "bee",
    "tea",
    "you",
    "your",
    "our",
    "in",
    "of",
    "censor",
    "attire",
    "amount",
    "pump",
    "cap",
    "boat",
    "ladder",
    "gap",
}
EXAMPLES = [(thing.id, example) for thing in ALL for example in thing.examples]


@pytest.fixture(scope="module")
def light_vehicle() -> Lexicon:
    return load_lexicon("light-vehicle")


def found_in(words: str, lexicon: Lexicon) -> list[str]:
    """The parts and fluids found in the words, in order of place; the longer name has kept its words."""
    return [hit.id for hit in lexicon.find(split_words(words)) if hit.layer in ("thing", "fluid")]


@pytest.mark.parametrize(("entry", "example"), EXAMPLES, ids=[f"{i}: {e.hear}" for i, e in EXAMPLES])
def test_every_example_finds_what_it_says(entry: str, example: schema.Example, light_vehicle: Lexicon) -> None:
    found = found_in(example.hear, light_vehicle)
    if example.find == "none":
        assert entry not in found
    else:
        assert example.find in found


def test_there_are_nine_hundred_parts_and_fastenings() -> None:
    assert sum(1 for thing in ENTRIES if thing.kind in FITTED) >= 900


def test_an_id_stands_once() -> None:
    twice = [i for i, n in Counter(thing.id for thing in ALL).items() if n > 1]
    assert twice == []


def test_no_phrase_is_claimed_by_two_entries() -> None:
    """Compared as the matcher compares: by the keys of the words, so that "spark plugs" and "spark plug" are one."""
    owners: dict[tuple[str, ...], set[str]] = {}
    for thing in ALL:
        grades = thing.grades if isinstance(thing, schema.Fluid) else ()
        for phrase in (*thing.say, *thing.heard_as, *grades):
            owners.setdefault(tuple(token.key for token in split_words(phrase)), set()).add(thing.id)
    assert {" ".join(keys): sorted(ids) for keys, ids in owners.items() if len(ids) > 1} == {}


def test_every_wider_id_is_an_entry_and_none_is_its_own() -> None:
    known = {thing.id for thing in ALL}
    unknown = {(thing.id, wider) for thing in ALL for wider in thing.within if wider not in known}
    assert unknown == set()


def test_belonging_never_goes_round_in_a_circle() -> None:
    within = {thing.id: set(thing.within) for thing in ALL}
    for start in within:
        seen: set[str] = set()
        todo = list(within[start])
        while todo:
            here = todo.pop()
            assert here != start, f"{start} belongs to itself"
            if here not in seen:
                seen.add(here)
                todo += within.get(here, ())


def test_every_entry_brings_an_example() -> None:
    assert [thing.id for thing in ALL if not thing.examples] == []


def test_a_phrase_that_must_not_count_is_tried() -> None:
    """`unless` is only worth what its trap shows: an entry that has one hears at least one thing it must not find."""
    untried = [t.id for t in ALL if t.unless and t.kind not in ("tool", "place") and not t.examples]
    assert untried == []


def test_a_mishearing_is_never_one_everyday_word() -> None:
    """The recogniser's "break" and "die" are words of their own; they count only with others that license them."""
    assert [(t.id, heard) for t in ALL for heard in t.heard_as if heard.lower() in EVERYDAY] == []


TOOLS = [
    "spark plug socket",
    "spring compressor",
    "valve core tool",
    "battery charger",
    "torque wrench",
    "drain pan",
    "brake lathe",
    "ball joint press",
    "clamp meter",
    "jack stand",
    "vacuum pump",
    "flare nut wrench",
]


def test_tools_and_places_are_never_billed(light_vehicle: Lexicon) -> None:
    for said in TOOLS:
        ids = found_in(f"used the {said} on it", light_vehicle)
        assert [light_vehicle.things[i].kind for i in ids] == ["tool"], said


# SAE J1930 / ISO/TR 15031-2 ("Engine Controls ... Terminology" 1995-96, "Glossary of Terms" 2004): the old shop word
# and the standard's term are one thing. An abbreviation that is a word too (EST, MAT, MIL) counts with its noun.
J1930 = [
    ("the check engine light is on", "the malfunction indicator lamp is on", "check-engine-light"),
    ("check engine light", "mil lamp", "check-engine-light"),
    ("plugged in at the ALDL", "plugged in at the data link connector", "data-link-connector"),
    ("aldl", "DLC", "data-link-connector"),
    ("replaced the alternator", "replaced the generator", "alternator"),
    ("alternator", "GEN", "alternator"),
    ("CTS sensor", "engine coolant temperature sensor", "coolant-temperature-sensor"),
    ("coolant temp sensor", "ECT sensor", "coolant-temperature-sensor"),
    ("MAT sensor", "intake air temperature sensor", "intake-air-temperature-sensor"),
    ("manifold air temperature sensor", "IAT", "intake-air-temperature-sensor"),
    ("crank sensor", "CKP", "crankshaft-position-sensor"),
    ("cam sensor", "CMP", "camshaft-position-sensor"),
    ("TPS", "throttle position sensor", "throttle-position-sensor"),
    ("throttle sensor", "TP sensor", "throttle-position-sensor"),
    ("the computer", "ECM", "engine-control-module"),
    ("engine computer", "PCM", "engine-control-module"),
    ("engine control module", "powertrain control module", "engine-control-module"),
    ("oxygen sensor", "HO2S", "oxygen-sensor"),
    ("lambda sensor", "O2S", "oxygen-sensor"),
    ("knock sensor", "KS sensor", "knock-sensor"),
    ("ESC sensor", "electronic spark control sensor", "knock-sensor"),
    ("EST module", "ignition control module", "ignition-module"),
    ("electronic spark timing", "ignition control", "ignition-module"),
    ("air cleaner", "ACL", "air-filter-housing"),
    ("neutral switch", "PNP switch", "neutral-safety-switch"),
    ("neutral safety switch", "park/neutral position switch", "neutral-safety-switch"),
    ("lock-up", "TCC", "torque-converter-clutch"),
    ("lockup clutch", "torque converter clutch", "torque-converter-clutch"),
    ("manifold absolute pressure sensor", "MAP sensor", "map-sensor"),
    ("mass air flow", "MAF", "mass-air-flow-sensor"),
    ("vehicle speed sensor", "VSS", "transmission-speed-sensor"),
    ("evaporative emissions", "EVAP", "evap-system"),
    ("exhaust gas recirculation valve", "EGR", "egr-valve"),
    ("positive crankcase ventilation valve", "PCV", "pcv-valve"),
    ("idle air control", "IAC", "idle-air-control-valve"),
    ("trouble code", "DTC", "trouble-code"),
    ("wide open throttle", "WOT", "wide-open-throttle"),
]


@pytest.mark.parametrize(("shop", "standard", "entry"), J1930, ids=[f"{a} = {b}" for a, b, _ in J1930])
def test_the_standards_term_and_the_shops_word_are_one(
    shop: str, standard: str, entry: str, light_vehicle: Lexicon
) -> None:
    assert entry in found_in(shop, light_vehicle)
    assert entry in found_in(standard, light_vehicle)


# The longer name keeps the words: what is named, and what its words alone would have been.
LONGEST = [
    ("brake pad retaining clip", "brake-pad-retaining-clip", "brake-pad"),
    ("oil filter housing gasket", "oil-filter-housing-gasket", "oil-filter"),
    ("valve cover gasket", "valve-cover-gasket", "valve-cover"),
    ("axle seal", "axle-seal", "cv-axle"),
    ("water pump gasket", "water-pump-gasket", "water-pump"),
    ("battery hold down bolt", "battery-hold-down-bolt", "battery"),
    ("thermostat housing bolt", "thermostat-housing-bolt", "thermostat"),
    ("brake light switch", "brake-light-switch", "brake-light"),
    ("glow plug relay", "glow-plug-relay", "glow-plug"),
    ("transmission pan gasket", "transmission-pan-gasket", "transmission-pan"),
    ("wiper motor", "wiper-motor", "wiper-blade"),
    ("drain plug gasket", "drain-plug-gasket", "drain-plug"),
    ("fuel filter", "fuel-filter", "fuel"),
    ("brake fluid reservoir", "master-cylinder-reservoir", "brake-fluid"),
    ("washer pump", "washer-pump", "washer"),
    ("radiator cap", "radiator-cap", "radiator"),
    ("battery light", "battery-light", "battery"),
    ("steering wheel", "steering-wheel", "wheel"),
    ("tire pressure sensor", "tpms-sensor", "tire"),
    ("caliper bracket bolt", "caliper-bracket-bolt", "brake-caliper"),
]


@pytest.mark.parametrize(("said", "entry", "shorter"), LONGEST, ids=[said for said, _, _ in LONGEST])
def test_the_longer_name_keeps_the_words(said: str, entry: str, shorter: str, light_vehicle: Lexicon) -> None:
    found = found_in(f"put in a new {said} yesterday", light_vehicle)
    assert entry in found
    assert shorter not in found


# Of two names of one length the last word decides what the thing is.
LAST_WORD = [
    ("rear window motor", "window-motor"),
    ("upper oil pan bolt", "oil-pan-bolt"),
    ("driver side gear oil", "gear-oil"),
    ("lower ball joint boot", "ball-joint-boot"),
    ("front spring seat", "spring-seat"),
    ("the cylinder head gasket", "head-gasket"),
    ("inner tie rod nut", "tie-rod-nut"),
    ("upper timing cover gasket", "timing-cover-gasket"),
    ("rear wiper motor", "wiper-motor"),
]


@pytest.mark.parametrize(("said", "entry"), LAST_WORD, ids=[said for said, _ in LAST_WORD])
def test_the_last_word_says_what_it_is(said: str, entry: str, light_vehicle: Lexicon) -> None:
    assert found_in(f"replaced {said} and cleared the codes", light_vehicle)[0] == entry


# Ten ways to say a few things: written, typed short, British, American and misheard.
ONE_THING = {
    "o-ring": ["O-ring", "o ring", "oring", "O-Rings", "o rings", "oh ring"],
    "lug-nut": ["lug nut", "lugnuts", "lugs", "wheel nut", "wheel nuts", "love nut"],
    "tire": ["tire", "tyre", "tires", "tyres", "Tyre's"],
    "stabilizer-link": ["sway bar link", "stabilizer link", "stabiliser link", "drop link", "end links"],
    "tie-rod-end": ["tie rod end", "track rod end", "outer tie rod", "tre", "tire rod end", "tie-rod end"],
    "cv-axle": ["CV axle", "half shaft", "half-shaft", "axle shaft", "halfshaft", "cv axel", "c v axle"],
    "drive-belt": ["serpentine belt", "drive belt", "fan belt", "accessory belt", "serp belt", "poly-v belt"],
    "thermostat": ["thermostat", "t-stat", "tstat", "t stat"],
    "oil-filter": ["oil filter", "oil fltr", "OIL FLTR", "spin-on filter"],
    "crush-washer": ["crush washer", "crush wshr", "crush washers"],
    "receiver-drier": ["receiver-drier", "receiver drier", "receiver dryer", "filter drier"],
    "ac-compressor": ["A/C compressor", "ac compressor", "a c compressor", "compressor"],
    "hub-assembly": ["hub assembly", "hub assy", "hub bearing", "wheel hub assembly", "unit bearing"],
    "brake-rotor": ["rotor", "rotors", "brake disc", "brake disk", "discs", "rotter"],
    "cabin-filter": ["cabin filter", "cabin air filter", "pollen filter", "cab fltr"],
    "shock-absorber": ["shock absorber", "shocks", "damper", "rear shocks"],
    "hood": ["hood", "bonnet"],
    "windshield": ["windshield", "windscreen"],
    "muffler": ["muffler", "silencer", "back box"],
    "r-134a": ["R-134a", "r134a", "134a", "r one thirty four a", "one thirty four a", "R 134a"],
    "r-1234yf": ["R-1234yf", "1234yf", "r twelve thirty four yf", "twelve thirty four y f"],
    "refrigerant": ["refrigerant", "freon", "free on"],
    "compressor-oil": ["PAG oil", "pag", "pag 46", "pag forty six", "ester oil", "ND-8"],
    "engine-oil": ["engine oil", "motor oil", "0W-20", "5w30", "five w thirty", "zero w twenty", "full synthetic"],
    "coolant": ["coolant", "antifreeze", "anti-freeze", "premix", "Dex-Cool"],
    "atf": ["ATF", "a t f", "transmission fluid", "trans fluid", "Dexron VI", "mercon lv"],
    "gear-oil": ["gear oil", "75W-90", "diff fluid", "GL-5", "seventy five w ninety"],
    "brake-fluid": ["brake fluid", "break fluid", "DOT 3", "dot four", "brk fld"],
}


@pytest.mark.parametrize(
    ("entry", "said"), [(i, said) for i, ways in ONE_THING.items() for said in ways], ids=lambda value: str(value)
)
def test_one_thing_said_many_ways(entry: str, said: str, light_vehicle: Lexicon) -> None:
    assert entry in found_in(f"checked the {said} over", light_vehicle)


def test_a_bare_ounce_of_refrigerant_is_mass_and_of_oil_is_volume() -> None:
    by_id = {fluid.id: fluid for fluid in FLUIDS}
    assert {i for i, f in by_id.items() if f.ounce == "mass"} == {
        i for i, f in by_id.items() if i == "refrigerant" or "refrigerant" in f.within
    }


def test_what_never_moves_in_bulk_is_no_line_of_the_fluid_ledger() -> None:
    by_id = {fluid.id: fluid for fluid in FLUIDS}
    for still in ("grease", "dielectric-grease", "anti-seize", "thread-locker", "sealant", "brake-cleaner", "nitrogen"):
        assert not by_id[still].moves, still
    for moved in ("refrigerant", "engine-oil", "coolant", "atf", "brake-fluid", "washer-fluid", "fuel", "gear-oil"):
        assert by_id[moved].moves, moved
