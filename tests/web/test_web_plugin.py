"""Installed or not, and whichever is imported first, Datasette gets all of our hooks."""

from __future__ import annotations

import subprocess
import sys

import pytest

HOOKS = ("register_routes", "asgi_wrapper", "prepare_jinja2_environment", "forbidden", "permission_allowed")


@pytest.mark.parametrize("first", ["kb.web", "kb.web.serve", "kb.web.host"])
def test_the_plugin_is_whole_before_datasette_looks_for_plugins(first: str) -> None:
    """Datasette reads the entry point while it is being imported: the plugin must not be half imported then."""
    code = f"""
import sys
seen = []
import datasette
class Watch:
    def find_spec(self, name, path=None, target=None):
        if name == "datasette.plugins":
            web = sys.modules.get("kb.web")
            seen.append(web is None or all(hasattr(web, hook) for hook in {HOOKS!r}))
sys.meta_path.insert(0, Watch())
import {first}
import datasette.app
print(seen)
"""
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[True]"
