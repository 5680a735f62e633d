"""Drawings of brewing as SVG, drawn by the service: they need no script, and each has its table beside it."""
