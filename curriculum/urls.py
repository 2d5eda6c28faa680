"""Addresses of dances, their levels, figures, routines and spreadsheets."""

from curriculum.views import (
    charts,
    composing,
    dances,
    figures,
    histories,
    holds,
    maps,
    music,
    passages,
    prerequisites,
    removals,
    rhythms,
    routine_builder,
    routines,
    search,
    spreadsheets,
    travel,
)
from school.access import page

app_name = "curriculum"
urlpatterns = [
    page("dances/", dances.dances, app=app_name, name="dances"),
    page("dances/new/", dances.dance_new, app=app_name, name="dance-new"),
    page("dances/<int:pk>/", dances.dance, app=app_name, name="dance"),
    page("dances/<int:pk>/edit/", dances.dance_edit, app=app_name, name="dance-edit"),
    page("dances/<int:pk>/remove/", dances.dance_remove, app=app_name, name="dance-remove"),
    page("dances/<int:pk>/holds/", holds.holds, app=app_name, name="holds"),
    page("dances/<int:pk>/holds/new/", holds.hold_new, app=app_name, name="hold-new"),
    page("holds/<int:pk>/", holds.hold_edit, app=app_name, name="hold-edit"),
    page("holds/<int:pk>/remove/", holds.hold_remove, app=app_name, name="hold-remove"),
    page("dances/<int:pk>/map/", maps.prerequisite_map, app=app_name, name="map"),
    page("dances/<int:pk>/levels/new/", dances.level_new, app=app_name, name="level-new"),
    page("dances/<int:pk>/figures/new/", figures.figure_new, app=app_name, name="figure-new"),
    page("figures/", search.figures, app=app_name, name="figures"),
    page("figures/<int:pk>/", figures.figure, app=app_name, name="figure"),
    page("figures/<int:pk>/edit/", figures.figure_edit, app=app_name, name="figure-edit"),
    page("figures/<int:pk>/remove/", removals.figure_remove, app=app_name, name="figure-remove"),
    page("levels/<int:pk>/remove/", removals.level_remove, app=app_name, name="level-remove"),
    page("figures/<int:pk>/needs/", prerequisites.add, app=app_name, name="prerequisite-add"),
    page(
        "figures/<int:pk>/needs/<int:needs>/remove/",
        prerequisites.remove,
        app=app_name,
        name="prerequisite-remove",
    ),
    # how a figure goes: its charts, its ways in and out, and who changed what
    page("figures/<int:pk>/charts/new/", charts.chart_new, app=app_name, name="chart-new"),
    page("charts/<int:pk>/", charts.chart_edit, app=app_name, name="chart-edit"),
    page("figures/<int:pk>/passages/", passages.passages, app=app_name, name="passages"),
    page("figures/<int:pk>/history/", histories.figure_history, app=app_name, name="figure-history"),
    page(
        "figures/<int:pk>/history/<int:version>/restore/",
        histories.figure_restore,
        app=app_name,
        name="figure-restore",
    ),
    # routines: looked at, built, composed; and the music they are danced to
    page("routines/<int:pk>/", routines.routine, app=app_name, name="routine"),
    page("routines/<int:pk>/edit/", routines.routine_edit, app=app_name, name="routine-edit"),
    page("routines/<int:pk>/remove/", routines.routine_remove, app=app_name, name="routine-remove"),
    page("routines/<int:pk>/build/", routine_builder.build, app=app_name, name="routine-build"),
    page("routines/<int:pk>/change/", routine_builder.change, app=app_name, name="routine-change"),
    page("routines/<int:pk>/undo/", routine_builder.undo, app=app_name, name="routine-undo"),
    page("routines/<int:pk>/history/", histories.routine_history, app=app_name, name="routine-history"),
    page(
        "routines/<int:pk>/history/<int:version>/restore/",
        histories.routine_restore,
        app=app_name,
        name="routine-restore",
    ),
    page("levels/<int:pk>/routines/new/", routines.routine_new, app=app_name, name="routine-new"),
    page("levels/<int:pk>/compose/", composing.compose, app=app_name, name="compose"),
    page("music/", music.music, app=app_name, name="music"),
    page("music/new/", music.piece_new, app=app_name, name="piece-new"),
    page("music/<int:pk>/", music.piece_edit, app=app_name, name="piece-edit"),
    page("music/<int:pk>/remove/", music.piece_remove, app=app_name, name="piece-remove"),
    # a dance's figures as a file
    page("dances/<int:pk>/spreadsheet/", spreadsheets.bring_in, app=app_name, name="spreadsheet-in"),
    page(
        "dances/<int:pk>/spreadsheet/confirm/", spreadsheets.confirm, app=app_name, name="spreadsheet-confirm"
    ),
    page("dances/<int:pk>/spreadsheet/hold/", spreadsheets.add_hold, app=app_name, name="spreadsheet-hold"),
    page("dances/<int:pk>/figures.<str:kind>", spreadsheets.take_out, app=app_name, name="spreadsheet-out"),
    # rhythms and tempo
    page("dances/<int:pk>/rhythms/", rhythms.rhythms, app=app_name, name="rhythms"),
    page("dances/<int:pk>/rhythms/new/", rhythms.rhythm_new, app=app_name, name="rhythm-new"),
    page("rhythms/<int:pk>/", rhythms.rhythm_edit, app=app_name, name="rhythm-edit"),
    page("rhythms/<int:pk>/remove/", rhythms.rhythm_remove, app=app_name, name="rhythm-remove"),
    page("dances/<int:pk>/tempo/", rhythms.tempo, app=app_name, name="tempo"),
    # a whole curriculum as a file
    page("curriculum/file/", travel.bring_in, app=app_name, name="file-in"),
    page("curriculum/file/confirm/", travel.confirm, app=app_name, name="file-confirm"),
    page("curriculum/file.json", travel.take_out, app=app_name, name="file-out"),
    page("dances/<int:pk>/curriculum.json", travel.take_dance_out, app=app_name, name="dance-file-out"),
]
