"""What is asked of every page: axe finds nothing, in light and dark, on a phone and on a wide screen; it
flows into 320 CSS pixels (WCAG 2.2, 1.4.10 Reflow) and breaks no short word there; where the keyboard stands
can be seen (2.4.7 Focus Visible) and lies under no bar (2.4.11 Focus Not Obscured); what is pressed has 24
pixels (2.5.8 Target Size, by axe)."""

from pathlib import Path

from axe_playwright_python.base import AXE_SCRIPT

# As wide as a small phone, and as 1280 pixels at 400 %.
PHONE = {"width": 320, "height": 640}
WIDE = {"width": 1280, "height": 800}
CHECKS = Path(__file__).with_suffix(".js").read_text()


def faults(page):
    """All that is wrong with the page that is open, as sentences, each with the look it was found in.

    All that unfolds is unfolded. The wide screen is looked at where it shows what a phone doesn't.
    """
    found = phone_faults(page)
    page.set_viewport_size(WIDE)
    if page.evaluate("pageChecks.showsMore()"):
        found += shown_faults(page, "wide", "main")
    page.set_viewport_size(PHONE)
    return found


def phone_faults(page):
    page.set_viewport_size(PHONE)
    look_at(page)
    page.evaluate("pageChecks.openAll()")
    page.evaluate("pageChecks.remember()")
    return [f"phone: {said}" for said in [*sideways(page), *broken(page)]] + shown_faults(
        page, "phone", "html"
    )


def look_at(page):
    """Brings the checks into the page that is open; before any other is asked for."""
    page.evaluate(AXE_SCRIPT)
    page.evaluate(CHECKS)


def shown_faults(page, look, where):
    """What is wrong with what is shown now."""
    found = [f"{look}: {said}" for said in [*axe(page, where), *keyboard(page)]]
    page.emulate_media(color_scheme="dark")
    # only what another colour can break
    found += [f"{look}, dark: {said}" for said in axe(page, where, ["color-contrast"])]
    page.emulate_media(color_scheme="light")
    return found


def axe(page, where, only=None):
    """What axe finds in a part of the page, by all rules or those of `only`."""
    return page.evaluate("asked => pageChecks.axe(asked)", [where, only])


def sideways(page):
    return page.evaluate("pageChecks.sideways()")


def broken(page):
    return page.evaluate("pageChecks.broken()")


def keyboard(page):
    # Whoever pressed with the mouse before sees no ring until a key is struck.
    page.keyboard.press("Tab")
    return page.evaluate("pageChecks.keyboard()")
