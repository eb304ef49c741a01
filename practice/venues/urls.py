app_name = "venues"
urlpatterns = []
