"""What a page with a form answers to."""

from django.views.decorators.http import require_http_methods

require_form = require_http_methods(["GET", "HEAD", "POST"])
"""Whatever answers GET answers HEAD (RFC 9110, section 9.1)."""
