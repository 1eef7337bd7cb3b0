"""Builds: entered, reserved for, drawn for, finished, closed; job card and set-up."""
