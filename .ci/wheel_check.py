"""The installed wheel holds what the checkout holds: templates, styles, data, sample; and serves its pages."""

import asyncio
import os
from importlib.resources import files

home = files("kb")
assert "site-packages" in str(home), home
for name in ("data/instruments.json", "web/templates", "web/static", "sample/records", "py.typed"):
    assert (home / name).is_file() or (home / name).is_dir(), f"the wheel lacks kb/{name}"

from datasette.app import Datasette  # noqa: E402


async def pages() -> None:
    served = Datasette([os.path.abspath("matchmark.db")])
    await served.invoke_startup()
    for path in ("/", "/fit", "/rule"):
        answer = await served.client.get(path)
        assert answer.status_code == 200, (path, answer.status_code)


if os.environ.get("MATCHMARK_SKIP_PAGES") != "1":
    asyncio.run(pages())
print("1 passed, 0 failed")
