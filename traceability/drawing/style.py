"""How a drawing looks: one set of rules, in the colours of the pages or in fixed ones for a file of its own."""

from collections.abc import Mapping
from string import Template

FONT = "system-ui, 'Segoe UI', Roboto, 'Liberation Sans', Arial, sans-serif"

_RULES = Template("""\
.trace { font-family: $font; }
.trace text { fill: $ink; stroke: none; }
.trace-band { fill: $stripe; }
.trace-heading { font-size: 14px; font-weight: 700; }
.trace-legend text { font-size: 13px; }
.trace-box { fill: $surface; stroke: $edge; stroke-width: 1.25; }
.trace-stack { fill: $surface; stroke: $edge; stroke-width: 1.25; }
.trace .is-subject .trace-box { stroke: $accent; stroke-width: 4; }
.trace-code { font-size: 14px; font-weight: 700; }
.trace-title { font-size: 13px; }
.trace .trace-detail { font-size: 12px; fill: $quiet; }
.trace-strip { fill: $edge; }
.trace-strip.supplier { fill: #77797b; }
.trace-strip.raw { fill: #7d8f33; }
.trace-strip.wort { fill: #a8642a; }
.trace-strip.beer { fill: #d39a2d; }
.trace-strip.packaged { fill: #4d7c97; }
.trace-strip.customer { fill: #85659c; }
.trace-flag rect { fill: $surface; stroke: $flag; stroke-width: 1.5; }
.trace-flag path { fill: $flag; }
.trace .trace-flag text { font-size: 12px; font-weight: 700; fill: $flag; }
.trace-link { fill: none; stroke: $line; stroke-linecap: butt; }
.trace-link.culture { stroke: $culture; stroke-dasharray: 9 5; }
.trace-link.carryover { stroke: $carryover; stroke-dasharray: 0.1 5.5; stroke-linecap: round; }
.trace-link.delivered { stroke: $accent; stroke-dasharray: 2 3; }
.trace .is-faded { opacity: 0.35; }
""")

FIXED: Mapping[str, str] = {
    "font": FONT,
    "ink": "#23201b",
    "quiet": "#5b5447",
    "surface": "#ffffff",
    "stripe": "#f4f0e8",
    "edge": "#857b69",
    "line": "#8f8573",
    "accent": "#7a3e12",
    "flag": "#96330a",
    "culture": "#2f6f4f",
    "carryover": "#6b4a86",
}

OF_PAGES: Mapping[str, str] = {
    "font": FONT,
    "ink": "var(--gw-ink)",
    "quiet": "var(--gw-quiet)",
    "surface": "var(--gw-surface)",
    "stripe": "var(--gw-stripe)",
    "edge": "var(--gw-edge)",
    "line": "var(--gw-edge)",
    "accent": "var(--gw-accent)",
    "flag": "var(--gw-hold)",
    "culture": "var(--gw-good)",
    "carryover": "var(--gw-accent)",
}

_INTERACTION = """\
.trace { display: block; margin: 0.5rem; max-width: none; }
.trace.is-whole { width: 100%; height: auto; margin: 0; }
.trace a { text-decoration: none; }
.trace a:hover .trace-code { text-decoration: underline; }
.trace .trace-node:focus { outline: none; }
.trace .trace-node:focus-visible .trace-box { stroke: var(--gw-focus); stroke-width: 4; }
.trace.is-following .trace-node:not(.is-followed) { opacity: 0.35; }
.trace.is-following .trace-link:not(.is-followed) { opacity: 0.15; }
.trace-key { display: flex; flex-wrap: wrap; gap: 0.4rem 1.4rem; align-items: center; margin: 0 0 0.5rem; }
.trace-key span { display: inline-flex; gap: 0.5rem; align-items: center; }
.trace-key svg { width: 44px; height: 21px; }
.trace-key svg .trace-box { stroke: var(--gw-accent); stroke-width: 4; }
.trace-key button { width: auto; margin: 0 0 0 auto; min-height: var(--gw-touch); padding: 0 1rem; }
"""


def standalone_css() -> str:
    """Return the rules for a drawing in a file of its own: fixed colours, for paper."""
    return _RULES.substitute(FIXED)


def page_css() -> str:
    """Return the style sheet for drawings on pages; `static/traceability/drawing.css` is a copy of it."""
    return (
        "/* Drawn traces. Written by traceability.drawing.style.page_css. */\n\n"
        + _RULES.substitute(OF_PAGES)
        + _INTERACTION
    )
