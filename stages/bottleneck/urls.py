from django.urls import path

from stages.bottleneck import views

urlpatterns = [path("bottleneck/", views.bottleneck, name="bottleneck")]
