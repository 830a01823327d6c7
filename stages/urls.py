from django.urls import include, path

urlpatterns = [
    path("", include("stages.setup.urls")),
    path("", include("stages.routes.urls")),
    path("", include("stages.crew.urls")),
]
