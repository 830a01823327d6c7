from django.urls import path

from stages.rider import views

urlpatterns = [path("r/<str:token>/", views.rider, name="rider")]
