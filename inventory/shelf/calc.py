"""Waste rules of a material line, and the pictograms of its hazards."""

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from inventory.base.calc.steps import ExplainedStep, as_percent
from inventory.base.refusals import Refusal

_ZERO = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawWithWaste:
    """What `net` comes to under a waste rule, in base units and in full precision.

    `drawn` is what to put aside for one build. `expected` is what one build uses up on average
    over many, rejects included; `cost` is `expected` at the price asked for. Rounds nothing.
    """

    rule: str
    net: Decimal
    drawn: Decimal
    expected: Decimal
    cost: Decimal
    steps: tuple[ExplainedStep, ...]


@dataclass(frozen=True, slots=True)
class NoWaste:
    """What is needed is what is drawn."""

    def draw(self, net: Decimal, price: Decimal) -> DrawWithWaste:
        """Draw `net` units at `price` each."""
        return _draw("no waste", net, net, net, price)


@dataclass(frozen=True, slots=True)
class WholeUnits:
    """Rule (a): whole units of which a share is rejected: cost = price / (1 - rate)."""

    reject_rate: Decimal = _ZERO

    def __post_init__(self) -> None:
        _check_rate(self.reject_rate, "A reject rate", "reject_rate")

    def draw(self, net: Decimal, price: Decimal) -> DrawWithWaste:
        """Draw `net` whole units at `price` each; rejects are bought again on average."""
        good = 1 - self.reject_rate
        words = f"whole units, {as_percent(self.reject_rate)} rejected"
        part = ExplainedStep("good share", good)
        return _draw(words, net, net, net / good, price, part)


@dataclass(frozen=True, slots=True)
class ExtraShare:
    """Rule (b): length or area with a percentage on top: draw = net x (1 + share)."""

    extra: Decimal = _ZERO

    def __post_init__(self) -> None:
        if self.extra < 0:
            raise Refusal("The extra must be at least 0; 0.12 is 12 %.", field="extra")

    def draw(self, net: Decimal, price: Decimal) -> DrawWithWaste:
        """Draw `net` base units and the extra share at `price` a base unit."""
        drawn = net * (1 + self.extra)
        words = f"{as_percent(self.extra)} extra"
        return _draw(words, net, drawn, drawn, price, ExplainedStep("extra", drawn - net))


@dataclass(frozen=True, slots=True, kw_only=True)
class CutFromLength:
    """Rule (c): parts sawn from a stock length; a remnant of at least `least_remnant` goes back.

    All lengths in one unit, mm as a rule. `trim` is lost at both ends of the stock length.
    """

    part: Decimal
    kerf: Decimal
    stock: Decimal
    least_remnant: Decimal = _ZERO
    trim: Decimal = _ZERO

    def __post_init__(self) -> None:
        if self.part <= 0 or min(self.kerf, self.trim, self.least_remnant) < 0:
            raise Refusal("The part length must be above 0; kerf, trim and remnant at least 0.")
        if self.part > self.usable:
            raise Refusal(
                f"A part of {self.part} does not fit a stock length of {self.stock} "
                f"with {self.trim} trimmed at each end.",
                field="part",
            )

    @property
    def usable(self) -> Decimal:
        """The stock length without its trimmed ends."""
        return self.stock - 2 * self.trim

    @property
    def parts_per_length(self) -> int:
        """How many parts one stock length gives; the last needs no cut behind it."""
        room = (self.usable + self.kerf) / (self.part + self.kerf)
        return int(room.to_integral_value(ROUND_FLOOR))

    def used_up(self, parts: int) -> Decimal:
        """Return the length that does not come back when one stock length gives `parts`."""
        remnant = max(self.usable - parts * (self.part + self.kerf), _ZERO)
        return self.stock - remnant if remnant >= self.least_remnant else self.stock

    def draw(self, net: Decimal, price: Decimal) -> DrawWithWaste:
        """Draw `net` parts at `price` a mm; a broken number of parts is cut as the next whole.

        `expected` takes each stock length as cut up entirely, as it is over several builds.
        """
        per_length = self.parts_per_length
        count = int(net.to_integral_value(ROUND_CEILING))
        lengths, over = divmod(count, per_length)
        drawn = lengths * self.used_up(per_length) + (self.used_up(over) if over else _ZERO)
        expected = count * self.used_up(per_length) / per_length
        parts = (
            ExplainedStep("parts from one stock length", Decimal(per_length)),
            ExplainedStep("used from a stock length, kerf included", self.used_up(per_length)),
        )
        return _draw("cut from a stock length", net, drawn, expected, price, *parts)


@dataclass(frozen=True, slots=True)
class PackShare:
    """Rule (d): a share of a pack, of which a share is spoilt before it is used.

    `pack` is what a pack holds, when that is to be shown; it changes no figure.
    """

    spoilt_rate: Decimal = _ZERO
    pack: Decimal | None = None

    def __post_init__(self) -> None:
        if self.pack is not None and self.pack <= 0:
            raise Refusal("The pack size must be above 0.", field="pack")
        _check_rate(self.spoilt_rate, "A spoilt share", "spoilt_rate")

    def draw(self, net: Decimal, price: Decimal) -> DrawWithWaste:
        """Draw `net` base units at `price` a base unit; what spoils is paid for on average."""
        words = f"share of a pack, {as_percent(self.spoilt_rate)} spoilt"
        parts = [ExplainedStep("share used in time", 1 - self.spoilt_rate)]
        if self.pack:
            parts.insert(0, ExplainedStep("share of a pack", net / self.pack))
        return _draw(words, net, net, net / (1 - self.spoilt_rate), price, *parts)


@dataclass(frozen=True, slots=True)
class Spares:
    """Rule (e): a count with spares for each build."""

    spares: Decimal = _ZERO

    def __post_init__(self) -> None:
        if self.spares < 0:
            raise Refusal("Spares must be at least 0.", field="spares")

    def draw(self, net: Decimal, price: Decimal) -> DrawWithWaste:
        """Draw `net` and the spares at `price` each; nothing needed draws no spare."""
        drawn = net + self.spares if net else net
        return _draw(
            "count and spares", net, drawn, drawn, price, ExplainedStep("spares", drawn - net)
        )


WasteRule = NoWaste | WholeUnits | ExtraShare | CutFromLength | PackShare | Spares


def waste_rule(
    code: str,
    *,
    rate: Decimal = _ZERO,
    spares: Decimal = _ZERO,
    cut: CutFromLength | None = None,
) -> WasteRule:
    """Return the rule of a stored `code`: none, whole, percent, cutting, share or spares.

    Raises KeyError for another code, and Refusal when `cutting` comes without its sizes.
    """
    if code == "cutting":
        if cut is None:
            raise Refusal("A line that is cut needs the part's length and the stock length.")
        return cut
    rules: dict[str, WasteRule] = {
        "none": NoWaste(),
        "whole": WholeUnits(rate),
        "percent": ExtraShare(rate),
        "share": PackShare(rate),
        "spares": Spares(spares),
    }
    return rules[code]


def _draw(
    rule: str,
    net: Decimal,
    drawn: Decimal,
    expected: Decimal,
    price: Decimal,
    *parts: ExplainedStep,
) -> DrawWithWaste:
    cost = expected * price
    steps = (
        ExplainedStep("needed", net),
        *parts,
        ExplainedStep("reserved", drawn),
        ExplainedStep("used on average", expected),
        ExplainedStep("unit price", price),
        ExplainedStep("cost", cost),
    )
    return DrawWithWaste(rule=rule, net=net, drawn=drawn, expected=expected, cost=cost, steps=steps)


def _check_rate(rate: Decimal, words: str, field: str) -> None:
    if not 0 <= rate < 1:
        raise Refusal(f"{words} is at least 0 and below 1; 0.08 is 8 %.", field=field)


PICTOGRAMS = {
    "GHS01": "exploding bomb",
    "GHS02": "flame",
    "GHS03": "flame over circle",
    "GHS04": "gas cylinder",
    "GHS05": "corrosion",
    "GHS06": "skull and crossbones",
    "GHS07": "exclamation mark",
    "GHS08": "health hazard",
    "GHS09": "environment",
}


def pictogram_names(codes: list[str]) -> list[str]:
    """Return the names of known `codes`, in the order of the codes."""
    return [PICTOGRAMS[code] for code in sorted(codes) if code in PICTOGRAMS]
