"""The instrument of walk-through W1: likely hours and likely material prices, waste rule none.

Common practice, no source; the total of 48.0 h and 560.80 is the walk-through's.
"""

from decimal import Decimal

from quotes.pricing.calc.basis import MaterialLine, StageHours

STAGES = tuple(
    StageHours(name=name, hours=Decimal(hours))
    for name, hours in [
        ("Spec drawing, template check", "2"),
        ("Stock choice, thicknessing, body glue-up", "2.5"),
        ("Rout outline, pockets and cavities", "3.5"),
        ("Join, glue and trim the cap", "3"),
        ("Neck blank, rod, headstock", "4"),
        ("Fingerboard: slot, radius, inlay, bind", "3.5"),
        ("Neck carve and body joint", "4"),
        ("Fret and dress", "3.5"),
        ("Bridge and anchor-plate metalwork", "3"),
        ("Sand, pore fill, stain", "4"),
        ("Apply finish", "4"),
        ("Level and buff", "3"),
        ("Shielding, wiring, test", "2.5"),
        ("Assembly, nut, set-up", "4"),
        ("Photos, record, packing", "1.5"),
    ]
)

PRICES = [
    ("Body wood", "tonewoods", "38"),
    ("Cap, figured bookmatch", "tonewoods", "45"),
    ("Neck blank", "tonewoods", "25"),
    ("Fingerboard blank", "tonewoods", "18"),
    ("Headplate", "tonewoods", "8"),
    ("Truss rod", "hardware", "15"),
    ("Fretwire", "fretwire", "6"),
    ("Nut blank", "nut and saddle", "4"),
    ("Binding", "trim", "6"),
    ("Inlay and side dots", "trim", "5"),
    ("Machine heads", "hardware", "65"),
    ("Bridge", "hardware", "40"),
    ("String anchor plate", "hardware", "8"),
    ("Magnetic pickup", "electrics", "85"),
    ("Potentiometers and capacitor", "electrics", "9"),
    ("Knobs", "electrics", "6"),
    ("Jack and plate", "electrics", "7"),
    ("Wire and solder", "electrics", "2"),
    ("Shielding foil", "electrics", "6"),
    ("Control cover, screws, ferrules", "hardware", "9"),
    ("String set", "strings", "11.80"),
    ("Glues", "shop supplies", "4"),
    ("Abrasives", "shop supplies", "12"),
    ("Finish", "finish", "30"),
    ("Polish, masks, filter share", "shop supplies", "8"),
    ("Gig bag", "case and packing", "70"),
    ("Label, certificate, packing", "case and packing", "18"),
]


def materials(markup="25", **dearer):
    """The lines at one markup; `machine_heads="74"` changes the price of one of them."""
    changed = {name.replace("_", " ").capitalize(): price for name, price in dearer.items()}
    return tuple(
        MaterialLine(
            name=name,
            family=family,
            quantity="1",
            cost=Decimal(changed.get(name, price)),
            markup_percent=Decimal(markup),
        )
        for name, family, price in PRICES
    )
