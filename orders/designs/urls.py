from django.urls import path

from orders.designs import views

urlpatterns = [
    path("designs/", views.designs, name="designs"),
    path("designs/new/", views.new_design, name="new-design"),
    path("designs/<int:pk>/new-version/", views.new_version, name="new-version"),
    path("designs/<int:pk>/retire/", views.retire, name="retire-design"),
]
