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
<dcterms:created xsi:type="dcterms:W3CDTF">2020-02-02T02:02:02Z</dcterms:created>\
<dcterms:modified xsi:type="dcterms:W3CDTF">2020-02-02T02:02:03Z</dcterms:modified>\
</cp:coreProperties>
"""


def _workbook() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as book:
        book.writestr("docProps/core.xml", PROPERTIES)
    return out.getvalue()


EARLIER = {
    ".json": b'{\n  "brief": "before",\n  "status": "optimal",\n  "currency": "X"\n}\n',
    ".csv": b'"ingredient",percent\nbeeswax,100\n',
    ".md": b"# What was here before\n\n<!-- written by optimiser -->\n",
    ".html": PAGE.encode(),
    ".xlsx": _workbook(),
    ".lp": b"\\ written by optimiser\n\\* what was here before *\\\n",
    ".mps": b"* written by optimiser\n* what was here before\n",
}
