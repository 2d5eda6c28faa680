"""What tests of the curriculum's pages ask of a page."""

from django.urls import reverse


def text_of(client, name, *arguments, **query):
    page = client.get(reverse(f"curriculum:{name}", args=arguments), query)
    assert page.status_code == 200
    return page.content.decode()


def in_order(text, *words):
    places = [text.index(word) for word in words]
    return places == sorted(places)
