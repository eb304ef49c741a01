app_name = "clubs"
urlpatterns = []
