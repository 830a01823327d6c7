from django.urls import include, path

urlpatterns = [
    path("", include("stages.scan.urls")),
    path("", include("stages.outbox.urls")),
    path("", include("stages.floor.urls")),
    path("", include("stages.rider.urls")),
    path("", include("stages.photos.urls")),
    path("", include("stages.defects.urls")),
    path("", include("stages.outside.urls")),
    path("", include("stages.setup.urls")),
    path("", include("stages.quality.urls")),
    path("", include("stages.mixing.urls")),
    path("", include("stages.routes.urls")),
    path("", include("stages.crew.urls")),
    path("", include("stages.day.urls")),
    path("", include("stages.overrides.urls")),
    path("", include("stages.devices.urls")),
    path("", include("stages.morning.urls")),
    path("", include("stages.turnaround.urls")),
    path("", include("stages.forecast.urls")),
    path("", include("stages.promises.urls")),
    path("", include("stages.wall.urls")),
]
