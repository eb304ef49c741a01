from django.urls import path

from practice.sessions import phone, sheet_views, views

app_name = "practice_sessions"
urlpatterns = [
    path("sync/", views.sync, name="sync"),
    path("sw.js", phone.worker, name="worker"),
    path("play/", phone.shell, name="shell"),
    path("play/me.json", views.me, name="me"),
    path("play/work.json", views.work, name="work"),
    path("players/<uuid:player>/shots/", views.shots, name="shots"),
    path("players/<uuid:player>/shots/<uuid:shot>/set-aside/", views.set_aside, name="set_aside"),
    path("players/<uuid:player>/shots/<uuid:shot>/back-in/", views.back_in, name="back_in"),
    path("players/<uuid:player>/sheets/", sheet_views.sheets, name="sheets"),
    path("players/<uuid:player>/sheets/<uuid:asked>/", sheet_views.sheet, name="sheet"),
]
