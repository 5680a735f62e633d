"""Documents to print: a template of typst and data, compiled to PDF or to pictures of its pages.

What people typed reaches typst as JSON, never as typst's own language. The fonts are those inside typst, so the same
data are the same bytes on every machine.
"""

import json
from pathlib import Path
from typing import Any, Literal, cast

import typst


def compiled(
    template: Path, data: dict[str, Any], form: Literal["pdf", "png"] = "pdf", dpi: float | None = None
) -> list[bytes]:
    """Return the one PDF, or a picture of each page at that resolution. The template reads `sys.inputs.data`."""
    made = typst.compile(
        template,
        root=template.parent,
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data)},
        format=form,
        ppi=dpi,
        timestamp=0,
    )
    # The type hints of typst know nothing of the pictures of several pages.
    pages = cast(bytes | list[bytes], made)
    return pages if isinstance(pages, list) else [pages]
