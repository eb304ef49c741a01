app_name = "players"
urlpatterns = []
