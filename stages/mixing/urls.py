from django.urls import path

from stages.mixing import views

urlpatterns = [path("batches/", views.batch, name="resin-batch")]
