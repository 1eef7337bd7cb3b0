"""Hazards by the pictograms on a label: codes and names of the UN's GHS, annex 1 (from memory)."""

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
