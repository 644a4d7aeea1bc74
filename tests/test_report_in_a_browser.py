"""Pages in a real browser: nothing is fetched, nothing sticks out of a phone, and they print."""

from __future__ import annotations

import html
import json
import re
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from formulation_support import INGREDIENTS, ROOT, Command, small_request
from report_support import CASES

from optimiser.answers.cheapest import cheapest
from optimiser.present.formula_page import cheapest_page
from optimiser.present.page_html import page_html

NAMES = ("chromium", "chromium-browser", "google-chrome")


def runs(path: str) -> bool:
    """Whether a browser is one, and no stub that asks to install it."""
    return subprocess.run([path, "--version"], capture_output=True, check=False).returncode == 0


BROWSER = next((path for name in NAMES if (path := shutil.which(name)) and runs(path)), None)

pytestmark = pytest.mark.skipif(BROWSER is None, reason="there is no Chromium to open a page with")

PAGES = sorted((ROOT / "examples").glob("*/*.html"))

PHONE = 390

SECONDS = 60

WRAPPER = """<!DOCTYPE html><meta charset="utf-8">
<iframe style="width:{width}px;height:800px;border:0" srcdoc="{page}"></iframe>
<pre></pre>
<script>
addEventListener("load", () => {{
  const inside = document.querySelector("iframe").contentWindow;
  document.querySelector("pre").textContent = JSON.stringify({{
    width: inside.innerWidth,
    needed: inside.document.documentElement.scrollWidth,
    fetched: inside.performance.getEntriesByType("resource").map((entry) => entry.name),
    smallest: Math.min(...[...inside.document.querySelectorAll("svg text")].map(
      (text) => parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().a)),
  }});
}});
</script>
"""


def browse(folder: Path, *words: object) -> subprocess.CompletedProcess[str]:
    """Run the browser without a window, a network or a profile of its own."""
    return subprocess.run(
        [
            str(BROWSER),
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--hide-scrollbars",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--disable-dev-shm-usage",
            "--enable-logging=stderr",
            "--host-resolver-rules=MAP * ~NOTFOUND",
            f"--user-data-dir={folder / 'profile'}",
            *map(str, words),
        ],
        capture_output=True,
        text=True,
        timeout=SECONDS,
        check=True,
    )


def on_a_phone(page: str, folder: Path) -> dict[str, object]:
    """What a browser says of a page that is as wide as a phone."""
    wrapper = folder / "wrapper.html"
    wrapper.write_text(WRAPPER.format(width=PHONE, page=html.escape(page)), encoding="utf-8")
    shown = browse(folder, "--dump-dom", wrapper.as_uri()).stdout
    found = re.search(r"<pre>(.*?)</pre>", shown, re.DOTALL)
    assert found is not None, shown
    said: dict[str, object] = json.loads(html.unescape(found[1]))
    return said


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.stem)
def test_a_page_fits_a_phone_and_fetches_nothing(path: Path, tmp_path: Path) -> None:
    """At 390 pixels nothing sticks out, no other file is asked for, words can be read."""
    said = on_a_phone(path.read_text(encoding="utf-8"), tmp_path)
    assert said["width"] == PHONE
    assert said["needed"] == PHONE
    assert said["fetched"] == []
    assert float(str(said["smallest"])) >= 9.5


@pytest.mark.parametrize("case", CASES)
def test_every_command_writes_for_a_phone(case: str, optimiser: Command, tmp_path: Path) -> None:
    """No page of any command is wider than a phone."""
    path = tmp_path / "a.html"
    optimiser(*CASES[case][0], "--out", path)
    said = on_a_phone(path.read_text(encoding="utf-8"), tmp_path)
    assert (said["width"], said["needed"], said["fetched"]) == (PHONE, PHONE, [])


def test_endless_names_stay_in_their_boxes(tmp_path: Path) -> None:
    """Names without a blank break or scroll by themselves; the page does not."""
    long = "\u05e9Mango" * 40
    book = tuple(replace(i, common_name=f"{long} {i.id}") for i in INGREDIENTS)
    asked = small_request(("amounts.hard-butter.min", "20"), ingredients=book, name=long)
    page = page_html(cheapest_page(cheapest(asked)))
    assert on_a_phone(page, tmp_path)["needed"] == PHONE


def test_a_page_that_is_too_wide_would_be_found(tmp_path: Path) -> None:
    """The measuring itself: something wider than a phone shows."""
    page = '<!DOCTYPE html><svg width="900" height="9"><text>a</text></svg>'
    assert on_a_phone(page, tmp_path)["needed"] == 908


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.stem)
def test_a_page_opens_without_complaint(path: Path, tmp_path: Path) -> None:
    """The browser's console stays empty."""
    shown = browse(tmp_path, "--dump-dom", path.as_uri())
    assert "</html>" in shown.stdout
    assert "CONSOLE" not in shown.stderr


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.stem)
def test_a_page_prints(path: Path, tmp_path: Path) -> None:
    """A PDF of at least one sheet."""
    printed = tmp_path / "printed.pdf"
    browse(tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={printed}", path.as_uri())
    content = printed.read_bytes()
    assert content.startswith(b"%PDF")
    assert len(re.findall(rb"/Type\s*/Page\b", content)) >= 1


def sheets_of(path: Path, folder: Path) -> int:
    """On how many sheets of paper a page is printed."""
    printed = folder / "printed.pdf"
    browse(folder, "--no-pdf-header-footer", f"--print-to-pdf={printed}", path.as_uri())
    return len(re.findall(rb"/Type\s*/Page\b", printed.read_bytes()))


@pytest.mark.parametrize("name", ["whipped_hand_butter", "gardeners_balm"])
def test_a_weigh_sheet_prints_on_two_sheets(name: str, optimiser: Command, tmp_path: Path) -> None:
    """What goes to the bench is on two sheets of A4 at most; the money is not on them."""
    brief = ROOT / f"examples/quillfern/{name}.toml"
    path = tmp_path / "sheet.html"
    optimiser("batch", brief, "--size", "1 kg", "--out", path)
    page = path.read_text(encoding="utf-8")
    bench, mark, _ = page.partition("</section>")
    path.write_text(f"{bench}{mark}</main></body></html>", encoding="utf-8")
    assert sheets_of(path, tmp_path) <= 2
    path.write_text(page, encoding="utf-8")
    assert 2 <= sheets_of(path, tmp_path) <= 4
