from django.urls import path

app_name = "analytics"
urlpatterns = []
