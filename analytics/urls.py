from django.urls import path

from analytics import views

app_name = "analytics"
urlpatterns = [
    path("how-the-numbers-are-made/", views.numbers, name="numbers"),
    path("players/<uuid:player>/dashboard/", views.dashboard, name="dashboard"),
    path("players/<uuid:player>/progress/", views.progress, name="progress"),
    path("players/<uuid:player>/judged/", views.judged, name="judged"),
    path("players/<uuid:player>/carries/", views.carries, name="carries"),
    path("players/<uuid:player>/shots-for-targets/", views.shots_for_targets, name="shots_for_targets"),
    path("players/<uuid:player>/gaps/", views.gaps, name="gaps"),
    path("players/<uuid:player>/loft-change/", views.loft_change, name="loft_change"),
    path("players/<uuid:player>/loft-plan/", views.loft_plan, name="loft_plan"),
    path("players/<uuid:player>/work-order/", views.work_order, name="work_order"),
    path("players/<uuid:player>/wind-and-slope/", views.wind_and_slope, name="wind_and_slope"),
    path("players/<uuid:player>/strike/", views.strike, name="strike"),
    path("academies/<uuid:academy>/carry-chart-days/", views.carry_chart_days, name="carry_chart_days"),
    path("academies/<uuid:academy>/passing-values/", views.passing_values, name="passing_values"),
    path("academies/<uuid:academy>/putting-table/", views.putting_table, name="putting_table"),
    path("academies/<uuid:academy>/putting-table/reset/", views.reset_putting_table, name="reset_putting_table"),
]
