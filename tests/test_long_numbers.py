"""A number longer than any a database holds is refused like every other wrong one: it never breaks a page."""

import re

from tests.test_access import PATTERNS, address, cast, client_of, one_of_everything

__all__ = ["cast", "one_of_everything"]

LONG = "9" * 30
FIELD = re.compile(r'<(?:input|select|textarea)\b[^>]*\bname="([^"]+)"')


def test_no_page_breaks_by_a_long_number_in_any_field_it_shows(cast):
    """Of every address, and what the page and its forms send: in the address, and posted."""
    broken = set()
    for name, entry in PATTERNS:
        # One address signs out.
        client, walked = client_of(cast, "director"), address(name, entry, cast)
        shown = set(FIELD.findall(client.get(walked).content.decode())) - {"csrfmiddlewaretoken"}
        sent = dict.fromkeys({*shown, "version", "at", "before", "page", "term"}, LONG)
        broken |= {
            f"{method.__name__} {name}"
            for method in (client.get, client.post)
            if method(walked, sent).status_code >= 500
        }
    assert broken == set()
