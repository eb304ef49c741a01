from django.urls import path

from practice.venues import views

app_name = "venues"
urlpatterns = [
    path("venues/", views.venues, name="venues"),
    path("venues/add/", views.add, name="add"),
    path("venues/<uuid:venue>/", views.venue, name="venue"),
    path("venues/<uuid:venue>/edit/", views.edit, name="edit"),
    path("venues/<uuid:venue>/tee-lines/", views.add_line, name="add_line"),
    path("tee-lines/<uuid:line>/", views.line, name="line"),
    path("tee-lines/<uuid:line>/bays/", views.add_bay, name="add_bay"),
    path("tee-lines/<uuid:line>/targets/", views.add_target, name="add_target"),
    path("bays/<uuid:bay>/", views.bay, name="bay"),
    path("targets/<uuid:target>/", views.target, name="target"),
    path("targets/<uuid:target>/archive/", views.archive_target, name="archive_target"),
    path("targets/<uuid:target>/restore/", views.restore_target, name="restore_target"),
]
