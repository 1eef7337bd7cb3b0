"""The invented workshop that the program can be tried on."""

from pathlib import Path

DEMO = Path(__file__).resolve().parent
