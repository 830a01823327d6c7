from django.urls import path

from stages.routes import views

urlpatterns = [
    path("set-up/stages/", views.stages, name="stages"),
    path("set-up/stages/new/", views.stage, name="new-stage"),
    path("set-up/stages/<int:pk>/", views.stage, name="stage"),
    path("set-up/bays/<int:pk>/hours/", views.bay_hours, name="bay-hours"),
    path("set-up/routes/", views.routes, name="routes"),
    path("set-up/routes/<int:pk>/", views.route, name="route"),
]
