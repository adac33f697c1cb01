"""A real browser on a real server: Debian's Chromium, driven through its own protocol.

The server of these tests shares the in-memory SQLite connection with the test, so they run on SQLite alone:
what they are about happens in the browser, and every view has its tests on both databases elsewhere.
"""

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NoReturn

import pytest
from django.contrib.auth.models import User
from django.test import Client, override_settings

PACKAGE = "Chromium is not on this machine: apt-get install chromium"
LIBRARY = "The driver of the browser cannot start here: apt-get install libatomic1"
PASSWORD = "only for this test"
AXE = Path(__file__).parent / "vendor" / "axe.min.js"


@pytest.fixture(scope="session", autouse=True)
def _one_thread_may_ask_the_database(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """The driver keeps an event loop in this thread, which Django would take for asynchronous code."""
    before = os.environ.get("DJANGO_ALLOW_ASYNC_UNSAFE")
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with override_settings(STATIC_ROOT=tmp_path_factory.mktemp("static")):
        yield
    if before is None:
        del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]
    else:
        os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = before


def _lacking(message: str) -> NoReturn:
    """A developer's machine may lack a package; where everything has to pass, nothing is left out."""
    if os.environ.get("CI"):
        pytest.fail(message)
    pytest.skip(message)


@pytest.fixture(scope="session")
def chromium(_one_thread_may_ask_the_database: None) -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    path = shutil.which("chromium")
    if path is None:
        _lacking(PACKAGE)
    try:
        driver = sync_playwright().start()
    except Exception as error:
        _lacking(f"{LIBRARY} ({error})")
    browser = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
    yield browser
    browser.close()
    driver.stop()


@pytest.fixture
def user(live_server: Any) -> User:
    return User.objects.create_user("wren", first_name="Wren", password=PASSWORD)


@pytest.fixture
def open_page(chromium: Any, live_server: Any) -> Iterator[Callable[..., Any]]:
    """Opens a page for somebody (signed in, unless None), of a size; what the browser complains of fails."""
    contexts, complaints = [], []

    def opened(user: User | None, width: int = 1280, **options: Any) -> Any:
        context = chromium.new_context(
            base_url=live_server.url, viewport={"width": width, "height": 800}, **options
        )
        contexts.append(context)
        if user is not None:
            client = Client()
            client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
            cookie = client.cookies["sessionid"].value
            context.add_cookies([{"name": "sessionid", "value": cookie, "url": live_server.url}])
        page = context.new_page()
        page.set_default_timeout(15_000)
        page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        return page

    yield opened
    for context in contexts:
        context.close()
    # A refusal (409, 422) is logged by the browser as a failed resource; everything else is a fault of ours.
    assert [text for text in complaints if " status of 4" not in text] == []


@pytest.fixture
def axe() -> Callable[[Any], list[str]]:
    """The serious and critical violations on a page, one line each."""
    source = AXE.read_text(encoding="utf-8")

    def check(page: Any) -> list[str]:
        page.evaluate(source)
        found = page.evaluate("async () => (await axe.run()).violations")
        return [
            f"{one['id']}: {one['help']}: {node['target']}"
            for one in found
            if one["impact"] in ("serious", "critical")
            for node in one["nodes"]
        ]

    return check
