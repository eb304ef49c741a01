from django.urls import path

from practice.players import views

app_name = "players"
urlpatterns = [
    path("players/", views.roster, name="roster"),
    path("players/add/", views.add, name="add"),
    path("players/<uuid:player>/", views.player, name="player"),
    path("players/<uuid:player>/edit/", views.edit, name="edit"),
    path("players/<uuid:player>/archive/", views.archive, name="archive"),
    path("players/<uuid:player>/restore/", views.restore, name="restore"),
]
