from django.urls import path

from stages.whatif import views

urlpatterns = [
    path("what-if/", views.what_if, name="what-if"),
    path("what-if/apply/", views.apply, name="apply-what-if"),
]
