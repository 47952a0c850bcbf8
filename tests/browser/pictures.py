"""`python -m tests.browser.pictures [FOLDER]`: every page as a picture, on phone and desk, light and dark.

`python -m tests.browser.pictures --tour` writes docs/tour.md and its pictures instead. Both serve a fresh sample.
"""

from __future__ import annotations

import argparse
import re
import sys
import tempfile
from base64 import b64encode
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from kb.store.load import init
from tests.browser import tour
from tests.browser.conftest import DESK, PHONE, launched, new_context, sign_in
from tests.browser.pages import ADDRESSES, TABLES
from tests.browser.png import pixels, small_png
from tests.web.test_web_serve import Running, running

ROOT = Path(__file__).parents[2]
TALLEST = 6000  # pixels of a page; what comes below is more of the same list


def name_of(path: str) -> str:
    """A file's name from an address: `fit-build-drover` for `/fit?build=drover`."""
    return re.sub(r"[^0-9a-z]+", "-", path.lower()).strip("-") or "home"


@contextmanager
def _served() -> Iterator[tuple[Running, Browser]]:
    with tempfile.TemporaryDirectory() as folder:
        path = f"{folder}/sample.db"
        init(path, sample=True)
        with running(path) as server, sync_playwright() as play:
            browser = launched(play)
            yield server, browser
            browser.close()
            server.stop()


def whole_set(folder: Path) -> int:
    """Write the pictures of all pages to `folder`; how many there are."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = [path for some in ADDRESSES.values() for path in some] + list(TABLES)
    count = 0
    with _served() as (server, browser):
        context = new_context(browser, PHONE, state=sign_in(browser, server))
        page = context.new_page()
        for path in paths:
            if "hostile" in path:  # records that only the tests have
                continue
            page.goto(f"http://127.0.0.1:{server.port}{path}")
            for device, size in (("phone", PHONE), ("desk", DESK)):
                page.set_viewport_size({"width": size[0], "height": size[1]})
                for scheme in ("light", "dark"):
                    page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
                    tall = min(TALLEST, max(size[1], int(page.evaluate("document.documentElement.scrollHeight"))))
                    area = {"x": 0, "y": 0, "width": size[0], "height": tall}
                    target = folder / f"{name_of(path)}-{device}-{scheme}.png"
                    page.screenshot(path=target, full_page=True, clip=area)  # type: ignore[arg-type]
                    count += 1
            print(path)
    return count


def make_tour(docs: Path) -> None:
    """Write docs/tour.md and docs/pictures/tour/*.png; pictures that the tour has no longer are removed."""
    folder = docs / "pictures" / "tour"
    folder.mkdir(parents=True, exist_ok=True)
    with _served() as (server, browser):
        state = sign_in(browser, server)
        reader = browser.new_page()  # takes pictures apart
        for shot in tour.SHOTS:
            context = browser.new_context(
                viewport={"width": shot.size[0], "height": shot.size[1]},
                color_scheme=shot.scheme,  # type: ignore[arg-type]
                storage_state=state,
                device_scale_factor=shot.scale,
                reduced_motion="reduce",
            )
            page = context.new_page()
            page.goto(f"http://127.0.0.1:{server.port}{shot.path}")
            image = pixels(reader, b64encode(_taken(page, shot)).decode())
            content = small_png(image)
            (folder / f"{shot.name}.png").write_bytes(content)
            print(f"{shot.name}.png: {image.shape[1]} by {image.shape[0]}, {len(content) / 1024:.0f} KB")
            context.close()
    for left in {path.name for path in folder.glob("*.png")} - {f"{shot.name}.png" for shot in tour.SHOTS}:
        (folder / left).unlink()
    (docs / "tour.md").write_text(tour.text(), encoding="utf-8")


def _taken(page: Page, shot: tour.Shot) -> bytes:
    if shot.at:
        page.locator(f"{shot.at} >> visible=true").first.evaluate(
            "each => { scrollTo(0, each.getBoundingClientRect().top + scrollY - 12) }"
        )
    return page.screenshot()


def main() -> int:
    """Run the command."""
    parser = argparse.ArgumentParser(prog="python -m tests.browser.pictures", description=__doc__)
    parser.add_argument("folder", nargs="?", default="screenshots", help="where to write (default: screenshots)")
    parser.add_argument("--tour", action="store_true", help="write docs/tour.md and its pictures instead")
    given = parser.parse_args()
    if given.tour:
        make_tour(ROOT / "docs")
    else:
        print(f"{whole_set(Path(given.folder))} pictures in {given.folder}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
