from django.urls import path

from practice.accounts.views import devices, links, members, sign_in

app_name = "accounts"
urlpatterns = [
    path("", sign_in.home, name="home"),
    path("sign-in/", sign_in.sign_in, name="sign_in"),
    path("sign-out/", sign_in.sign_out, name="sign_out"),
    path("password/", sign_in.password, name="password"),
    path("devices/", devices.devices, name="devices"),
    path("devices/<uuid:device>/revoke/", devices.revoke_device, name="revoke_device"),
    path("enter/<str:token>/", links.enter, name="enter"),
    path("players/<uuid:player>/sign-in-link/", links.sign_in_link, name="sign_in_link"),
    path("academies/<uuid:academy>/members/", members.members, name="members"),
    path("academies/<uuid:academy>/members/add/", members.add_member, name="add_member"),
    path("academies/<uuid:academy>/members/<uuid:user>/sign-in-link/", members.member_link, name="member_link"),
    path("academies/<uuid:academy>/members/<uuid:user>/make-owner/", members.make_owner, name="make_owner"),
    path("academies/<uuid:academy>/members/<uuid:user>/make-coach/", members.make_coach, name="make_coach"),
    path("academies/<uuid:academy>/members/<uuid:user>/remove/", members.remove_member, name="remove_member"),
]
