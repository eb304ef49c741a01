from django.urls import path

from practice.drills import views

app_name = "drills"
urlpatterns = [
    path("drills/", views.drills, name="drills"),
    path("drills/add/", views.add, name="add"),
    path("drills/<uuid:drill>/", views.edit, name="edit"),
    path("drills/<uuid:drill>/archive/", views.archive, name="archive"),
    path("drills/<uuid:drill>/restore/", views.restore, name="restore"),
]
