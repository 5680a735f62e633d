"""Charts as SVG, drawn by the service: they need no script, and every chart has its table beside it."""
