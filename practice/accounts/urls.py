from django.urls import path

from practice.accounts import views

app_name = "accounts"
urlpatterns = [
    path("", views.home, name="home"),
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("devices/", views.devices, name="devices"),
    path("devices/<uuid:device>/revoke/", views.revoke_device, name="revoke_device"),
    path("enter/<str:token>/", views.enter, name="enter"),
    path("players/<uuid:player>/sign-in-link/", views.sign_in_link, name="sign_in_link"),
]
