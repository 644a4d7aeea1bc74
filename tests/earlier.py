"""A small earlier answer in every form, as the program would have written it."""

from __future__ import annotations

import io
import zipfile

PAGE = """\
<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="generator" content="optimiser">
<title>what was here before</title>
</head>
</html>
"""

PROPERTIES = """\
<cp:coreProperties xmlns:dc="http://purl.org/dc/elements/1.1/" \
xmlns:dcterms="http://purl.org/dc/terms/" \
xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" \
xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties">\
<dc:creator>optimiser</dc:creator>\
<dcterms:created xsi:type="dcterms:W3CDTF">1980-01-01T00:00:00Z</dcterms:created>\
<dcterms:modified xsi:type="dcterms:W3CDTF">1980-01-01T00:00:00Z</dcterms:modified>\
</cp:coreProperties>
"""


def with_properties(properties: str) -> bytes:
    """A workbook that has nothing but its properties."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as book:
        book.writestr("docProps/core.xml", properties)
    return out.getvalue()


EARLIER = {
    ".json": b'{\n  "brief": "before",\n  "status": "optimal",\n  "currency": "X"\n}\n',
    ".csv": b'"ingredient",percent\nbeeswax,100\n',
    ".md": b"# What was here before\n\n<!-- written by optimiser -->\n",
    ".html": PAGE.encode(),
    ".xlsx": with_properties(PROPERTIES),
    ".lp": b"\\ written by optimiser\n\\* what was here before *\\\n",
    ".mps": b"* written by optimiser\n* what was here before\n",
}
