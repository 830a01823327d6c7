from django.urls import path

from orders.compare import views

urlpatterns = [path("compare/", views.compare, name="compare")]
