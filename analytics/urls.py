from django.urls import path

from analytics import views

app_name = "analytics"
urlpatterns = [
    path("players/<uuid:player>/dashboard/", views.dashboard, name="dashboard"),
]
