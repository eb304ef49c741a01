from django.urls import path

app_name = "planner"
urlpatterns = []
