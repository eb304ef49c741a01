from django.urls import path

from practice.planner import views

app_name = "planner"
urlpatterns = [
    path("players/<uuid:player>/weeks/<str:monday>/", views.week, name="week"),
    path("players/<uuid:player>/weeks/<str:monday>/edit/", views.edit_week, name="edit_week"),
    path("players/<uuid:player>/weeks/<str:monday>/add-block/", views.add_block, name="add_block"),
    path("blocks/<uuid:block>/redraw/", views.redraw_block, name="redraw_block"),
    path("plans/<uuid:plan>/move-block/", views.move_block, name="move_block"),
    path("plans/<uuid:plan>/remove-block/", views.remove_block, name="remove_block"),
    path("plans/<uuid:plan>/logging/", views.set_logging, name="set_logging"),
    path("plans/<uuid:plan>/note/", views.write_note, name="write_note"),
    path("plans/<uuid:plan>/assign/", views.assign, name="assign"),
    path("plans/<uuid:plan>/withdraw/", views.withdraw, name="withdraw"),
]
