from django.urls import path

from practice.clubs import views

app_name = "clubs"
urlpatterns = [
    path("players/<uuid:player>/bag/", views.bag, name="bag"),
    path("players/<uuid:player>/bag/add/", views.add, name="add"),
    path("players/<uuid:player>/bag/review/", views.review, name="review"),
    path("bag-reviews/", views.reviews, name="reviews"),
    path("academies/<uuid:academy>/bag-values/", views.bag_values, name="bag_values"),
    path("clubs/<uuid:club>/", views.club, name="club"),
    path("clubs/<uuid:club>/edit/", views.edit, name="edit"),
    path("clubs/<uuid:club>/setups/add/", views.add_setup, name="add_setup"),
    path("clubs/<uuid:club>/setups/<str:valid_from>/", views.setup, name="setup"),
    path("clubs/<uuid:club>/readings/", views.add_reading, name="add_reading"),
    path("clubs/<uuid:club>/carries/", views.state_carries, name="state_carries"),
]
