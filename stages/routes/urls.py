from django.urls import path

from stages.routes import views

urlpatterns = [
    path("set-up/stages/", views.stages, name="stages"),
    path("set-up/bays/<int:pk>/hours/", views.bay_hours, name="bay-hours"),
    path("set-up/routes/", views.routes, name="routes"),
    path("set-up/routes/<int:pk>/", views.route, name="route"),
]
