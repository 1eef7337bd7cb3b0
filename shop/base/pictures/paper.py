"""How a picture is set on paper, where no page gives it its colours."""

STYLE = """
text { font-family: "Source Sans Pro", sans-serif; font-size: 13px; fill: #1d1a16 }
.label { fill: #555; font-size: 12px }
.axis { fill: none; stroke: #1d1a16; stroke-width: 1 }
.grid { fill: none; stroke: #ccc; stroke-width: 1 }
.band { fill: #e8e8e8; stroke: #aaa }
.line-1, .line-2, .line-3 { fill: none; stroke-width: 2; stroke-linejoin: round }
.line-1 { stroke: #1d1a16 }
.line-2 { stroke: #555; stroke-dasharray: 7 3 }
.line-3 { stroke: #777; stroke-dasharray: 2 3 }
.fill-1 { fill: #1d1a16 }
.fill-2 { fill: #555 }
.fill-3 { fill: #999 }
.fill-sheet { fill: #fff; stroke: #555 }
"""
"""Inks of a grey printer. The PDF writer reads it inside the picture and nowhere else."""
