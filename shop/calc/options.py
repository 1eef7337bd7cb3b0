"""Options of a pattern: switches, and choices of which exactly one is on."""

from collections.abc import Collection, Iterable, Mapping

from inventory.refusals import Refusal


def on_as_a_rule(options: Iterable[tuple[str, bool, str]]) -> list[str]:
    """Return the names that are on unless said otherwise.

    options: name, whether it is on, and what it is one of (empty: a switch by itself). Of a choice
    the first that is on counts, or else the first.
    """
    rows = list(options)
    choices: dict[str, list[tuple[str, bool]]] = {}
    for name, is_on, one_of in rows:
        if one_of:
            choices.setdefault(one_of, []).append((name, is_on))
    taken = {
        next((n for n, is_on in members if is_on), members[0][0]) for members in choices.values()
    }
    return [name for name, is_on, one_of in rows if (name in taken if one_of else is_on)]


def check_choices(
    on: Collection[str], one_of: Mapping[str, str], *, field: str = "options"
) -> None:
    """Refuse unless of every choice exactly one option is on.

    one_of: option → the choice it belongs to, for those that belong to one.
    """
    for choice in dict.fromkeys(one_of.values()):
        members = [name for name, each in one_of.items() if each == choice]
        if sum(name in on for name in members) != 1:
            raise Refusal(f"{choice}: choose one of {_either(members)}, and only one.", field=field)


def with_missing(on: Iterable[str], one_of: Mapping[str, str], usual: Collection[str]) -> list[str]:
    """Return `on`, and for every choice that it leaves open the one that is usual."""
    named = list(on)
    open_choices = set(one_of.values()) - {one_of[name] for name in named if name in one_of}
    return named + [name for name in usual if one_of.get(name) in open_choices]


def switched(on: Collection[str], name: str, one_of: Mapping[str, str]) -> list[str]:
    """Return `on` with one option switched; of a choice it takes the place of the one on."""
    if name in on:
        return [option for option in on if option != name]
    choice = one_of.get(name)
    kept = [option for option in on if choice is None or one_of.get(option) != choice]
    return [*kept, name]


def _either(names: Collection[str]) -> str:
    *before, last = (f"“{name}”" for name in names)
    return f"{', '.join(before)} or {last}" if before else last
