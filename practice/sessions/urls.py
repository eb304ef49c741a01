app_name = "practice_sessions"
urlpatterns = []
