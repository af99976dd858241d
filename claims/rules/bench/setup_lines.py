"""The lines of a setup, as records: what to do, what to read, what cannot stay open.

The usual points of the trade, common practice, no source. The maker's own setup list
takes precedence.
"""

from dataclasses import dataclass

from claims.rules.bench.readings import (
    FOUR_TIPS,
    FOUR_WHEELS,
    TWO_WHEELS,
    ReadingSet,
)


@dataclass(frozen=True)
class SetupLine:
    """One line: its words, its caution, what is read, and how it may end.

    ``never_open`` lines are right before release, whoever signs. ``always`` lines
    cannot be "N/A" on a machine of this kind. ``after`` names lines that must be
    right before this one is read. ``asks_serial`` lines take a number to compare.
    A line with readings is not done without all of them, unless
    ``may_skip_reading``.
    """

    key: str
    label: str
    hint: str
    caution: str = ""
    readings: ReadingSet | None = None
    never_open: bool = False
    always: bool = False
    asks_serial: bool = False
    may_skip_reading: bool = False
    after: tuple[str, ...] = ()


_TIRES = "Cuts, beads seated; let down from shipping pressure to the maker's figure."

PAPERS = (
    SetupLine("loose-parts", "Hardware bag", "All there by the packing list?"),
    SetupLine("keys", "Keys", "All keys there, and they turn?"),
    SetupLine("manual", "Manual and setup sheet", "For this very model?"),
    SetupLine(
        "labels",
        "Serial plate",
        "Type or photograph it. Does it match the listed serial?",
        asks_serial=True,
    ),
    SetupLine(
        "engine-serial",
        "Engine serial",
        "Type or photograph it. Does it match the papers?",
        asks_serial=True,
    ),
    SetupLine(
        "recalls",
        "Recalls and service bulletins",
        "Search the maker's site by this serial. All done?",
        never_open=True,
        always=True,
    ),
)
"""What comes with a machine, and what is looked up."""

TIRES = SetupLine(
    "tires", "Tires", _TIRES, "tires", ReadingSet("pressure", FOUR_WHEELS)
)
TWO_TIRES = SetupLine(
    "tires", "Tires", _TIRES, "tires", ReadingSet("pressure", TWO_WHEELS)
)
LUG_NUTS = SetupLine(
    "lug-nuts",
    "Lug nuts",
    "Torque wrench, to the maker's figure. Name the wrench in the note.",
    "jack",
    ReadingSet("torque", FOUR_WHEELS),
)
BATTERY = SetupLine(
    "battery",
    "Battery",
    "Case OK, terminals tight. Read it before and after the charge.",
    "batteries",
    ReadingSet("voltage", ("before", "after")),
)
LITHIUM = SetupLine(
    "battery-pack",
    "Battery pack",
    "Dry, no dents, not swollen, no warning on the display?",
    "lithium",
)
OIL = SetupLine(
    "oil",
    "Engine oil",
    "Filled, to the maker's mark? Some machines ship dry.",
    "hot",
)
HYDRAULICS = SetupLine(
    "hydraulics", "Hydraulic oil", "Level, hoses and fittings dry?", "hydraulics"
)
COOLANT = SetupLine("coolant", "Coolant", "Level, hoses dry?", "hot")
FUEL = SetupLine(
    "fuel",
    "Fuel tank and lines",
    "No leak, tight, no smell?",
    "fuel",
    never_open=True,
)
BLADES = SetupLine(
    "blades",
    "Blades and spindles",
    "Straight, bolts torqued, turn without wobble?",
    "blades",
    never_open=True,
    always=True,
)
BELTS = SetupLine(
    "belts", "Belt routing", "On every pulley and in every keeper?", "blades"
)
GUARDS = SetupLine(
    "guards",
    "Guards and shields",
    "All fitted and tight, discharge chute moves?",
    never_open=True,
    always=True,
)
DECALS = SetupLine(
    "decals",
    "Safety decals",
    "All there, in place and readable?",
    never_open=True,
    always=True,
)
ROPS = SetupLine(
    "rops",
    "ROPS and seat belt",
    "Straight, up and pinned, belt latches?",
    never_open=True,
)
ROPS_BOLTS = SetupLine(
    "rops-bolts",
    "ROPS bolts",
    "Torque wrench, to the maker's figure. Name the wrench in the note.",
    readings=ReadingSet("torque", ("left", "right")),
    never_open=True,
)
CONTROLS = SetupLine(
    "controls",
    "Controls and steering",
    "Full travel, return to neutral?",
    never_open=True,
    always=True,
)
BRAKES = SetupLine("brakes", "Parking brake", "Holds, releases?", never_open=True)
SWITCHES = SetupLine(
    "interlocks",
    "Safety switches (seat, blade, start)",
    "Does each one stop what it should?",
    "test-run",
    never_open=True,
    always=True,
)
LIGHTS = SetupLine("lights", "Lights and gauges", "Working, no warning left on?")
TEST_RUN = SetupLine(
    "test-run",
    "Test run",
    "Starts, runs evenly, no leak, no noise?",
    "test-run",
    ReadingSet("speed"),
    may_skip_reading=True,
    after=("oil", "fuel"),
)
HOURS = SetupLine(
    "hours",
    "Hour meter",
    "Does it read what a new machine reads?",
    readings=ReadingSet("hours"),
)
FUEL_LEFT = SetupLine(
    "fuel-left", "Fuel after the run", "Drained, or in it and stabilized?", "fuel"
)
REGISTRATION = SetupLine(
    "registration", "Product registration", "Sent to the maker, or left to the buyer?"
)
CLOSING = (TEST_RUN, HOURS, LIGHTS, FUEL_LEFT, REGISTRATION)
"""The last lines of every machine with an engine."""

PURGE = SetupLine(
    "purge",
    "Hydro purge",
    "Air out of the drive by the maker's steps?",
    "jack",
    after=("hydraulics",),
)
BYPASS = SetupLine("bypass", "Hydro bypass levers", "Closed, both sides?")
LAP_BARS = SetupLine(
    "lap-bars",
    "Lap-bar alignment",
    "Level with each other in neutral and full ahead?",
    readings=ReadingSet("gap"),
    may_skip_reading=True,
)
TRACKING = SetupLine(
    "tracking",
    "Creep and tracking",
    "Stands still in neutral, runs straight ahead?",
    "test-run",
    after=("tires", "lap-bars"),
)
BLADE_STOP = SetupLine(
    "blade-stop",
    "Blade stop time",
    "From switch off to standstill, against the maker's figure.",
    "blades",
    ReadingSet("stop"),
    never_open=True,
)
DECK = SetupLine("deck", "Deck", "Straight, height moves freely?", "blades")
LEVEL = SetupLine(
    "deck-level",
    "Deck level",
    "Level floor, height pins alike. Blades across for left and right, then fore and "
    "aft. Tip to floor.",
    "blades",
    ReadingSet("tip", FOUR_TIPS),
    after=("tires",),
)
AUGER = SetupLine(
    "auger",
    "Auger and impeller",
    "Straight, free of the housing, the right shear pins fitted?",
    "augers",
    never_open=True,
    always=True,
)
SHOES = SetupLine(
    "shoes",
    "Skid shoes and scraper bar",
    "Alike left and right, bar clear of the floor.",
    "augers",
    ReadingSet("gap", TWO_WHEELS),
    after=("tires",),
)
CHUTE = SetupLine("chute", "Chute and deflector", "Full turn, holds where it is set?")
DRIVE = SetupLine(
    "drive",
    "Drive and auger cables",
    "Engage when squeezed, let go at once when released?",
    "augers",
)
LEVERS = SetupLine(
    "interlocks",
    "Safety levers, key and switches",
    "Does letting go stop the auger and the drive?",
    "test-run",
    never_open=True,
    always=True,
)
