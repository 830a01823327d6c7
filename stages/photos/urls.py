from django.urls import path

from stages.photos import views

urlpatterns = [
    path("boards/<int:number>/photos/", views.add, name="photo-add"),
    path("photos/<str:ref>/", views.photo, name="photo"),
    path("photos/<str:ref>/rider/", views.rider_sees, name="photo-rider"),
]
