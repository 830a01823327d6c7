from django.urls import path

from stages.counter import views

urlpatterns = [path("counter/", views.counter, name="counter")]
