from django.urls import path

from practice.planner.views import blocks, builder, competitions, copies, feeds, limits, sheets, squads, suggest, weeks

app_name = "planner"
urlpatterns = [
    path("players/<uuid:player>/weeks/<str:monday>/", weeks.week, name="week"),
    path("players/<uuid:player>/weeks/<str:monday>/edit/", weeks.edit_week, name="edit_week"),
    path("players/<uuid:player>/weeks/<str:monday>/add-block/", builder.add_block, name="add_block"),
    path("players/<uuid:player>/weeks/<str:monday>/suggest/", suggest.suggest_week, name="suggest"),
    path("blocks/<uuid:block>/redraw/", builder.redraw_block, name="redraw_block"),
    path("players/<uuid:player>/weeks/<str:monday>/copy-last/", copies.copy_last_week, name="copy_last_week"),
    path("players/<uuid:player>/weeks/<str:monday>/use-template/", copies.use_template, name="use_template"),
    path("plans/<uuid:plan>/save-template/", copies.save_as_template, name="save_as_template"),
    path("templates/<uuid:template>/delete/", copies.delete_template, name="delete_template"),
    path("academies/<uuid:academy>/weeks/<str:monday>/squad/", squads.squad, name="squad"),
    path("academies/<uuid:academy>/ball-limits/", limits.ball_limits, name="ball_limits"),
    path(
        "players/<uuid:player>/weeks/<str:monday>/add-competition/",
        competitions.add_competition,
        name="add_competition",
    ),
    path("competitions/<uuid:competition>/remove/", competitions.remove_competition, name="remove_competition"),
    path("plans/<uuid:plan>/move-block/", blocks.move_block, name="move_block"),
    path("plans/<uuid:plan>/remove-block/", blocks.remove_block, name="remove_block"),
    path("plans/<uuid:plan>/halve-block/", blocks.halve_block, name="halve_block"),
    path("plans/<uuid:plan>/terms/", blocks.set_terms, name="set_terms"),
    path("plans/<uuid:plan>/undo/", weeks.undo, name="undo"),
    path("plans/<uuid:plan>/note/", weeks.write_note, name="write_note"),
    path("plans/<uuid:plan>/assign/", weeks.assign, name="assign"),
    path("plans/<uuid:plan>/withdraw/", weeks.withdraw, name="withdraw"),
    path("players/<uuid:player>/calendar/", feeds.calendar, name="calendar"),
    path("players/<uuid:player>/calendar/make/", feeds.make_address, name="make_address"),
    path("players/<uuid:player>/calendar/revoke/", feeds.revoke_address, name="revoke_address"),
    path("plans/<uuid:week>/sheet/", sheets.sheet, name="sheet"),
    path("calendar/<str:secret>.ics", feeds.feed, name="feed"),
]
