"""A whisk as it is typed into the grid, and what is sent and shown."""

from django.urls import reverse

from curriculum.chart_grid import KEYS

# count, ticks, leader's foot, action, direction, turn, follower's, hold after, cue
WHISK = (
    "1 | 12 | L | step  | forward |   | R | step  | back   |    |           | low",
    "2 | 12 | R | step  | side    |   | L | step  | side   | +2 |           |",
    "3 | 12 | L | cross | behind  |   | R | cross | behind |    | promenade | look along",
)


def cells(line):
    return [text.strip() for text in line.split("|")]


def typed(*lines, **fields):
    columns = zip(*map(cells, lines), strict=True) if lines else [[] for _ in KEYS]
    form = dict(zip(KEYS, map(list, columns), strict=True))
    return {"do": "save", "name": "", "note": "", "version": 1, "told": "", "times": 1} | form | fields


def open_new(client, figure, **form):
    return client.post(reverse("curriculum:chart-new", args=[figure.pk]), form)


def edit(client, chart, form):
    return client.post(reverse("curriculum:chart-edit", args=[chart.pk]), form)


def grid_texts(page):
    return [tuple(row) for row in page.context["editor"].grid.texts()]
