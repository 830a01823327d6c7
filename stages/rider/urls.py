from django.urls import path

from stages.rider import views

urlpatterns = [
    path("r/<str:token>/", views.rider, name="rider"),
    path("r/<str:token>/photos/<str:ref>/", views.picture, name="rider-photo"),
    path("r/<str:token>/rides/", views.say, name="rider-say"),
]
