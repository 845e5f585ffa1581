"""Two ways of using a page: by keyboard alone, seeing where one is; and by touch."""

import time
from typing import Any

from playwright.sync_api import Page

from page_forms import FIELD, Ago, Answered

MOST = 250
"""Presses of Tab after which there is no way; the longest page has half as many places to go to."""
WHERE = """(place) => {
  const at = document.activeElement;
  const shown = at.matches(".choice input") ? at.closest(".choice") : at;
  const style = getComputedStyle(shown), box = shown.getBoundingClientRect();
  return {
    what: at.outerHTML.slice(0, 120),
    there: place !== null && at.matches(place),
    lost: at === document.body,
    ring: style.outlineStyle === "none" ? 0 : parseFloat(style.outlineWidth),
    inSight: box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth,
  };
}"""
WIDER = """() => {
  const page = document.documentElement;
  if (page.scrollWidth === page.clientWidth) return [];
  const parts = [...document.querySelectorAll("main *")];
  const wide = parts.filter((part) => part.getBoundingClientRect().right > page.clientWidth + 1);
  return [page.scrollWidth, ...wide.map((part) => part.outerHTML)];
}"""


class Keyboard:
    """Tab, arrows, Space, Enter and letters; at every step the place where one is can be seen."""

    def __init__(self, page: Page) -> None:
        self._page = page

    def answer(self, form: Answered) -> None:
        """From the line's page to the form, through it, and off."""
        for link in form.way:
            self.to(link)
            self.enter()
        for name, text in form.fields:
            self.to(f'[name="{name}"]')
            self.put(text)
            self.tab()
        self.to(form.button)
        self.tab(back=True)
        self.to(form.button)
        self.enter()

    def to(self, place: str) -> None:
        """Go on to the next control that fits the selector."""
        where = self._where(place)
        for _ in range(MOST):
            if where["there"]:
                return
            where = self.tab(place)
        raise AssertionError(f"no key leads to {place}")

    def tab(self, place: str | None = None, *, back: bool = False) -> dict[str, Any]:
        """One control further, or back; past the last one comes the browser itself, and then the first."""
        self._page.keyboard.press("Shift+Tab" if back else "Tab")
        where = self._where(place)
        assert where["lost"] or (where["ring"] >= 2 and where["inSight"]), where
        return where

    @property
    def lost(self) -> bool:
        """True where nothing has the focus."""
        return bool(self._where()["lost"])

    def _where(self, place: str | None = None) -> dict[str, Any]:
        found: dict[str, Any] = self._page.evaluate(WHERE, place)
        return found

    def enter(self) -> None:
        """Follow the link or send the form."""
        with self._page.expect_navigation():
            self._page.keyboard.press("Enter")

    def put(self, text: str | Ago) -> None:
        """Fill in or choose."""
        keys = self._page.keyboard
        kind = self._page.evaluate("document.activeElement.type")
        if isinstance(text, Ago):
            seconds = len(self._page.evaluate("document.activeElement.value")) == len("2026-10-14T10:24:00")
            clock = text.clock()
            keys.type(time.strftime("%m%d%Y", clock))  # the order of a browser that was told no language
            keys.press("ArrowRight")  # a year may have more digits, so the hour does not come by itself
            keys.type(time.strftime("%I%M00%p" if seconds else "%I%M%p", clock))
            assert self._page.evaluate("document.activeElement.value").startswith(time.strftime(FIELD, clock))
        elif kind == "radio":
            if self._page.evaluate("document.activeElement.value") == text:
                keys.press("Space")
            for _ in range(MOST):
                if self._page.evaluate("(text) => document.activeElement.value === text", text):
                    return
                keys.press("ArrowDown")
            raise AssertionError(f"no key chooses {text}")
        else:
            keys.type(text)


def by_touch(page: Page, form: Answered) -> None:
    """The same with a finger, where no page on the way may be wider than the screen."""
    for link in form.way:
        with page.expect_navigation():
            page.locator(link).first.click()
        assert page.evaluate(WIDER) == []
    names = [name for name, _ in form.fields]
    for place, (name, text) in enumerate(form.fields):
        fill(page, name, text, names[:place].count(name))
    with page.expect_navigation():
        page.locator(form.button).first.click()
    assert page.evaluate(WIDER) == []


def fill(page: Page, name: str, text: str | Ago, place: int) -> None:
    """Fill in one field, the `place`th of its name."""
    field = page.locator(f'[name="{name}"]')
    if isinstance(text, Ago):
        field.fill(time.strftime(FIELD, text.clock()))
    elif field.first.get_attribute("type") == "radio":
        page.locator(f'[name="{name}"][value="{text}"]').check()
    else:
        field.nth(place).fill(text)
