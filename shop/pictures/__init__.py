"""Pictures of hours: plain shapes laid out by hand, set as SVG by a template."""
